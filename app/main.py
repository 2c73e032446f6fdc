"""The entry point: run a command, and turn whatever goes wrong into a sentence."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Sequence

import click

from annotate.clock import shown
from annotate.errors import UserFacingError
from app.jobs.work import Cancelled
from app.reporting import report_fault, system_trouble

BAD_INPUT = 2
OWN_FAULT = 1
STOPPED = 130
_LONGEST_COMPLAINT = 300


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line.

    Returns
    -------
    int
        0 when done, 2 for bad input, 1 for a fault of the program, 130 when stopped.
    """
    from app.cli.root import root

    _print_anything()
    try:
        root.main(args=list(arguments) if arguments is not None else None, standalone_mode=False)
    except UserFacingError as trouble:
        return _say(str(trouble), BAD_INPUT)
    except click.exceptions.Exit as left:
        return left.exit_code
    except click.Abort:
        return _say("Stopped. Nothing was kept of it.", STOPPED)
    except (Cancelled, KeyboardInterrupt):
        return _say("Stopped. Nothing was kept of it.", STOPPED)
    except click.ClickException as trouble:
        return _say(f"{_complaint(trouble)} Ask 'scrubline --help' for how.", BAD_INPUT)
    except BrokenPipeError:
        return OWN_FAULT
    except Exception as fault:  # noqa: BLE001 - the last door: no traceback reaches a user
        return _say_fault(fault)
    return 0


def _say_fault(fault: Exception) -> int:
    """Say what the system refused, or that the program is at fault and where its report is."""
    _let_go_of_unwritten()
    trouble = system_trouble(fault) if isinstance(fault, OSError) else None
    if trouble is not None:
        return _say(str(trouble), BAD_INPUT)
    return _say(report_fault(fault), OWN_FAULT)


def _let_go_of_unwritten() -> None:
    """Drop what standard output would not take, or Python complains once more on leaving."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        try:
            sys.stdout.flush()
        except OSError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _complaint(trouble: click.ClickException) -> str:
    """The command line's own complaint, as a sentence that is not endless."""
    said = shown(trouble.format_message(), _LONGEST_COMPLAINT)
    return said if said.endswith((".", "?", "!")) else f"{said}."


def _print_anything() -> None:
    """Let a file name that is no text be printed, in place of failing on it."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")


def _say(sentence: str, code: int) -> int:
    from app.cli.shared import printable

    click.echo(printable(sentence), err=True)
    return code


if __name__ == "__main__":
    sys.exit(main())
