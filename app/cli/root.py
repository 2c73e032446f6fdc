"""The command `scrubline` and its group."""

from __future__ import annotations

from importlib import import_module

import click

from annotate.errors import UserFacingError
from app.cli.shared import Line, json_option
from app.commands.table import line_help

_ROOMS = {
    "desk": "app.cli.desk",
    "demo": "app.cli.desk",
    "intake": "app.cli.intake",
    "caseload": "app.cli.caseload",
    "search": "app.cli.search",
    "parts": "app.cli.parts",
    "frame": "app.cli.frames",
    "tags": "app.cli.tags",
    "settings": "app.cli.settings",
    "figures": "app.cli.figures",
    "note": "app.cli.notes",
}
"""In which module a command is; it is loaded when the command runs, so that each starts quickly."""


class CommandsWhenNeeded(click.Group):
    """A group that loads a command's module only to run that command."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the commands, in the order of a case's way through the program."""
        return list(_ROOMS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name."""
        if cmd_name not in _ROOMS:
            return None
        found: click.Command = getattr(import_module(_ROOMS[cmd_name]), cmd_name)
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands from the one table, without loading any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line_help(name)) for name in _ROOMS])


@click.group(
    "scrubline",
    cls=CommandsWhenNeeded,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="For education and quality review. Not a medical device.",
)
@click.option("--store", metavar="PATH_OR_URL", help="Open this store instead of the user's own.")
@json_option
@click.version_option(package_name="scrubline")
@click.pass_context
def root(context: click.Context, store: str | None) -> None:
    """Review recorded operations: tag, measure, and hand back a timed critique."""
    line = context.ensure_object(Line)
    if store == "":
        raise UserFacingError(
            "--store names no store.", "Give the path of a file, or leave it out."
        )
    line.store = store
    if context.invoked_subcommand is None:
        from app.cli.desk import desk

        context.invoke(desk)
