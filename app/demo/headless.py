"""The demo where there is no screen: the same desk, drawn offscreen, and what it hands back."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from annotate.errors import UserFacingError
from annotate.vocabulary_file import vocabulary_named
from app.handback.prepare import note_for
from app.handback.write_note import write_note
from app.settings import Settings
from metrics.document import figures_document
from metrics.from_tags import figures
from store import Store, open_store

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication, QWidget

    from app.desk.window import DeskWindow
    from app.review.view import ReviewView

_SIZES = ((1366, 768), (1920, 1080))
_PATIENCE_MS = 60_000


def write_demo(address: str, case: str, out: Path) -> list[Path]:
    """Write the note, the figures and a picture of each screen.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    UserFacingError
        If the folder cannot be written.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise UserFacingError(
            f"The folder {out.name} cannot be made: {fault.strerror}.", "Name another with --out."
        ) from fault
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from app.desk.collecting import collecting_here
    from app.desk.start import make_application

    application = make_application("dark")
    with open_store(address) as store:
        written = _paperwork(store, case, out)
        with collecting_here():  # the application outlives it, and the timer in it
            written += _screens(application, store, case, out)
    return written


def _paperwork(store: Store, code: str, out: Path) -> list[Path]:
    case = store.case(code)
    session = store.find_session(case.id, None)
    note = note_for(store, case, session, with_stills=True)
    written = [out / f"{code}-note.pdf", out / f"{code}-note.html"]
    for path in written:
        write_note(note, path)
    result = figures(store.markup(session.id).tags, vocabulary_named(case.vocabulary))
    document = {"case": code, "reviewer": session.reviewer.code, **figures_document(result)}
    target = out / f"{code}-figures.json"
    target.write_text(json.dumps(document, ensure_ascii=False, indent=2), encoding="utf-8")
    return [*written, target]


def _screens(application: QApplication, store: Store, code: str, out: Path) -> list[Path]:
    """Draw each screen with Qt's offscreen platform, at two sizes."""
    from PySide6.QtCore import QEvent, qInstallMessageHandler

    from app.desk.start import desk_settings
    from app.desk.window import DeskWindow

    talker = qInstallMessageHandler(_only_what_matters)
    window = DeskWindow(store, desk_settings(Settings(), is_demo=True), keeps_settings=False)
    written = []
    try:
        for width, height in _SIZES:
            window.resize(width, height)
            window.show()
            window.show_caseload()
            _wait(lambda: window.background.current is None)
            written.append(_grab(window, out / f"caseload-{width}x{height}.png"))
            window.open_case(code)
            if window.review is None:
                raise UserFacingError(window.message_bar.words)
            _show_a_comment(window.review)
            written.append(_grab(window, out / f"review-{width}x{height}.png"))
        written += _dialogs(window, out)
    finally:
        window.close()
        window.deleteLater()
        application.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        qInstallMessageHandler(talker)
    return written


def _only_what_matters(_kind: object, _context: object, message: str) -> None:
    """Let Qt's warnings through, but not what its offscreen platform always says."""
    if "propagateSizeHints" not in message:
        click.echo(message, err=True)


def _dialogs(window: DeskWindow, out: Path) -> list[Path]:
    """Draw the smaller windows: the page of keys, the intake, the hint, and the light theme."""
    from app.caseload.intake_dialog import IntakeDialog
    from app.desk.hint import HintDialog
    from app.desk.keys_page import KeysPage

    assert window.review is not None
    vocabulary = window.review.presenter.vocabulary
    shown = {
        "keys": KeysPage(vocabulary, window),
        "take-in": IntakeDialog(window.caseload.presenter.next_case_number, window),
        "first-minute": HintDialog(parent=window),
    }
    written = []
    for name, dialog in shown.items():
        dialog.show()
        _wait(dialog.isVisible)
        written.append(_grab(dialog, out / f"{name}.png"))
        dialog.close()
        dialog.deleteLater()
    window.change_theme()
    return [*written, _grab(window, out / "review-light.png")]


def _show_a_comment(view: ReviewView) -> None:
    """Go to a comment that has a mark on the picture."""
    _wait(lambda: view.picture.shown_number is not None)
    markup = view.presenter.markup
    shown = max(markup.comments, key=lambda c: (bool(c.mark_id), c.weight or 0))
    begins = {mark.id: mark.start_us for mark in markup.marks}
    at_us = begins[shown.mark_id] if shown.mark_id else shown.start_us
    view.presenter.choose(shown.id)
    view.go_to_time(at_us)
    _wait(lambda: abs(view.presenter.playhead_us - at_us) < 200_000)


def _grab(window: QWidget, path: Path) -> Path:
    window.grab().save(str(path))
    return path


def _wait(is_ready: Callable[[], bool]) -> None:
    """Let the desk work until something is so.

    Raises
    ------
    UserFacingError
        If it takes more than a minute.
    """
    from PySide6.QtCore import QEventLoop, QTimer

    loop = QEventLoop()
    poll, limit = QTimer(), QTimer()
    limit.setSingleShot(True)

    def look() -> None:
        if is_ready():
            loop.quit()

    poll.timeout.connect(look)
    limit.timeout.connect(loop.quit)
    poll.start(20)
    limit.start(_PATIENCE_MS)
    loop.exec()
    poll.stop()
    if not is_ready():
        raise UserFacingError("A screen of the demo did not come up within a minute.")
