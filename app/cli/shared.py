"""What the commands share: the store they open, where they print, how progress shows."""

from __future__ import annotations

import json
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import click

from annotate.errors import UserFacingError
from app.commands.table import line_help
from app.jobs.work import Work
from app.places import default_store
from app.settings import Settings, load_settings

if TYPE_CHECKING:
    from annotate.ids import CaseId
    from store import Store

F = TypeVar("F", bound=Callable[..., Any])


@dataclass(slots=True)
class Line:
    """What the options before the command say."""

    store: str | None = None
    is_json: bool = False
    settings: Settings = field(default_factory=load_settings)

    @contextmanager
    def opened(self) -> Iterator[Store]:
        """Open the store and close it afterwards."""
        from store import open_store

        with open_store(self.store or default_store()) as store:
            yield store

    def answer(self, document: object, text: str) -> None:
        """Print the one JSON document, or the same for people.

        JSON is printed in ASCII, which is JSON whatever encoding the reader's system has.
        """
        if self.is_json:
            click.echo(json.dumps(document, indent=2, allow_nan=False))
        elif text:
            click.echo(text)

    def remark(self, *sentences: str) -> None:
        """Say on standard error what the user should know of work that was done."""
        for sentence in sentences:
            click.echo(printable(sentence), err=True)


def printable(text: str) -> str:
    """One line without characters that would steer a terminal."""
    return "".join(c if c.isprintable() else "?" for c in " ".join(text.split()))


pass_line = click.make_pass_decorator(Line, ensure=True)


def _set_json(context: click.Context, _option: click.Parameter, value: bool) -> None:
    if value:
        context.ensure_object(Line).is_json = True


json_option = click.option(
    "--json",
    is_flag=True,
    expose_value=False,
    callback=_set_json,
    help="Print one JSON document and nothing else.",
)


def command(name: str) -> Callable[[F], click.Command]:
    """Make a function a command whose help comes from the one table."""

    def wrap(function: F) -> click.Command:
        return click.command(name, help=line_help(name))(json_option(pass_line(function)))

    return wrap


def whose_session(function: F) -> F:
    """Give a command the options that say whose review it is about, and which edition of it."""
    edition = click.option(
        "--edition", type=click.IntRange(min=1), metavar="N", help="Which edition of it."
    )
    reviewer = click.option("--reviewer", metavar="CODE", help="Whose session.")
    return reviewer(edition(function))


def from_or_to(what: str) -> Callable[[F], F]:
    """Give a command the options for a file that is read, or for one that is written: one of both.

    Parameters
    ----------
    what : str
        What the file holds, in the plural.
    """

    def wrap(function: F) -> F:
        @wraps(function)
        def asked(*given: Any, source: Path | None, target: Path | None, **named: Any) -> Any:
            if (source is None) == (target is None):
                raise UserFacingError(
                    f"Say either where the {what} come from or where they go.",
                    "Use --from FILE or --to FILE.",
                )
            return function(*given, source=source, target=target, **named)

        file = click.Path(path_type=Path)
        to = click.option("--to", "target", type=file, metavar="FILE")
        made = click.option("--from", "source", type=file, metavar="FILE")(to(asked))
        return cast("F", made)

    return wrap


def refuse_withheld(store: Store, case_id: CaseId, code: str, me: str) -> None:
    """Let nobody add to a review that is kept from them: what is there already would tell.

    Raises
    ------
    UserFacingError
        If it is kept from `me`, who is the reviewer of the settings.
    """
    if any(s.reviewer.code == code for s in store.sessions(case_id)):
        store.find_session(case_id, code, viewer=me)


@contextmanager
def shown_work(title: str) -> Iterator[Work]:
    """Show a bar with the time left on standard error, if that is a terminal."""
    work = Work(title)
    stop = threading.Event()
    is_terminal = sys.stderr.isatty()

    def draw() -> None:
        while not stop.wait(0.2):
            click.echo(f"\r{bar(work)}", nl=False, err=True)

    thread = threading.Thread(target=draw, name="progress", daemon=True)
    if is_terminal:
        thread.start()
    try:
        yield work
    finally:
        stop.set()
        if is_terminal:
            thread.join()
            click.echo("\r" + " " * 78 + "\r", nl=False, err=True)


def bar(work: Work, width: int = 24) -> str:
    """One line: title, bar, share, time left."""
    share = work.share
    if share is None:
        return f"{work.title[:40]} ..."
    left = work.left_s
    rest = f"  {left:.0f} s left" if left is not None else ""
    filled = round(share * width)
    return f"{work.title[:40]} [{'=' * filled}{' ' * (width - filled)}] {share:4.0%}{rest}   "
