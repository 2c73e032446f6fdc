"""The entry point: run a command, and turn whatever goes wrong into a sentence."""

from __future__ import annotations

import sys
from collections.abc import Sequence

import click

from annotate.errors import UserFacingError
from app.jobs.work import Cancelled
from app.reporting import report_fault

BAD_INPUT = 2
OWN_FAULT = 1
STOPPED = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line.

    Returns
    -------
    int
        0 when done, 2 for bad input, 1 for a fault of the program, 130 when stopped.
    """
    from app.cli.root import root

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
        return _say(f"{trouble.format_message()} Ask 'scrubline --help' for how.", BAD_INPUT)
    except BrokenPipeError:
        return OWN_FAULT
    except Exception as fault:  # noqa: BLE001 - the last door: no traceback reaches a user
        return _say(report_fault(fault), OWN_FAULT)
    return 0


def _say(sentence: str, code: int) -> int:
    click.echo(" ".join(sentence.split()), err=True)
    return code


if __name__ == "__main__":
    sys.exit(main())
