"""The command `scrubline` and its group."""

from __future__ import annotations

from importlib.metadata import version

import click

from app.cli.desk import demo, desk
from app.cli.figures import figures
from app.cli.frames import frame
from app.cli.intake import caseload, intake
from app.cli.notes import note
from app.cli.shared import Line, json_option
from app.cli.tags import tags


@click.group(
    "scrubline",
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="For education and quality review. Not a medical device.",
)
@click.option("--store", metavar="PATH_OR_URL", help="Open this store instead of the user's own.")
@json_option
@click.version_option(version("scrubline"))
@click.pass_context
def root(context: click.Context, store: str | None) -> None:
    """Review recorded operations: tag, measure, and hand back a timed critique."""
    line = context.ensure_object(Line)
    line.store = store
    if context.invoked_subcommand is None:
        context.invoke(desk)


for _command in (desk, demo, intake, caseload, frame, tags, figures, note):
    root.add_command(_command)
