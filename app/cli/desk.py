"""`desk` and `demo`: the commands that open the window. Qt is loaded only when they run."""

from __future__ import annotations

import os
from pathlib import Path

import click

from annotate.errors import UserFacingError
from app.cli.shared import Line, command, shown_work
from app.desk.display import has_display
from app.places import default_store, demo_store
from app.vocabulary.own import vocabularies_in

_again = click.option("--again", type=(str, str, int), hidden=True)
"""Where a desk that starts itself again goes on: case, session, microseconds."""


@command("desk")
@click.argument("case", required=False)
@_again
def desk(line: Line, case: str | None = None, again: tuple[str, str, int] | None = None) -> None:
    _check_display()
    if case is not None:
        with line.opened() as store:
            store.case(case)
    from app.desk.start import open_desk

    open_desk(line.store or str(default_store()), case, again=again)


def _check_display() -> None:
    """Refuse to open a window where Qt would end the program for want of a display."""
    if not has_display() and not os.environ.get("QT_QPA_PLATFORM"):
        raise UserFacingError(
            "There is no display here to open the desk on.",
            "Sign in with a screen, or use the other commands: scrubline --help.",
        )


@command("demo")
@click.option("--headless", is_flag=True, help="Open no window; write what it would show.")
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("demo_out"),
    show_default=True,
    help="Where the headless demo writes.",
)
@_again
def demo(line: Line, headless: bool, out: Path, again: tuple[str, str, int] | None) -> None:
    address = line.store or str(demo_store())
    with vocabularies_in(demo_store().parent / "vocabularies"):
        if not headless and has_display():
            from app.desk.start import open_desk

            open_desk(address, is_demo=True, again=again)
        else:
            _write_demo(line, address, out, headless=headless)


def _write_demo(line: Line, address: str, out: Path, *, headless: bool) -> None:
    from app.demo.caseload import make_demo_store
    from app.demo.headless import write_demo

    with shown_work("Making the demo caseload") as work:
        case = make_demo_store(address, work)
    if not headless:
        click.echo(f"There is no display here, so the demo runs without one, into {out}.", err=True)
    written = write_demo(address, case, out)
    line.answer(
        {"case": case, "written": [path.name for path in written]},
        f"The demo wrote {len(written)} files to {out}:\n"
        + "\n".join(f"  {path.name}" for path in written),
    )
