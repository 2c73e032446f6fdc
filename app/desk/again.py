"""Start the desk again, in a new process, at the place where it was left."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QProcess, QProcessEnvironment

import app
from annotate.errors import UserFacingError
from app.desk.enlarging import forget_size

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

_PATH = "PYTHONPATH"


class Place(NamedTuple):
    """Where the viewer is: code of the case, id of the session, case time in microseconds.

    An empty code is the list of cases.
    """

    case: str = ""
    session: str = ""
    time_us: int = 0


def place_in(window: DeskWindow) -> Place:
    """Where the viewer is now."""
    if window.review is None:
        return Place()
    presenter = window.review.presenter
    return Place(presenter.case.code, presenter.session.id, presenter.playhead_us)


def go_back_to(window: DeskWindow, place: Place) -> None:
    """Show a place; a case whose clip has to be asked for begins at its beginning."""
    if not place.case:
        return
    window.open_case(place.case, place.session)
    if window.review is not None:
        window.review.go_to_time(place.time_us)


def line_for(address: str, place: Place, *, is_demo: bool) -> list[str]:
    """Program and arguments that open a store's desk at a place.

    What lies in the working folder is not taken for the program.
    """
    command = "demo" if is_demo else "desk"
    program = [sys.executable, "-P", "-m", "app.main", "--store", address]
    return [*program, command, "--again", place.case, place.session, str(place.time_us)]


def start_again(address: str, place: Place, *, is_demo: bool) -> None:
    """Start a desk that outlives this process; after the store was closed.

    Raises
    ------
    UserFacingError
        If the system starts no process.
    """
    environment = QProcessEnvironment.systemEnvironment()
    forget_size(environment)
    own = str(Path(app.__file__).parents[1])
    before = environment.value(_PATH)
    environment.insert(_PATH, os.pathsep.join(filter(None, [own, before])))
    program, *arguments = line_for(address, place, is_demo=is_demo)
    process = QProcess()
    process.setProgram(program)
    process.setArguments(arguments)
    process.setProcessEnvironment(environment)
    answer: object = process.startDetached()  # with the new process's id from some versions of Qt
    if not (answer[0] if isinstance(answer, tuple) else answer):
        raise UserFacingError(
            "The desk could not be started again.", "All is kept; start it as you usually do."
        )
