"""Qt's multimedia, loaded on the main thread, for the sound's own thread."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QMessageLogContext, QtMsgType, qInstallMessageHandler

_missing: list[str] = []


def load_multimedia() -> None:
    """Load it, and what its first use makes; call it on the main thread.

    Loaded on another thread while a type of Qt is used for the first time here, each of the two
    has waited for ever for what the other one held.
    """
    try:
        with quiet_search():
            from PySide6.QtMultimedia import QAudio, QAudioFormat, QAudioSink, QMediaDevices
    except ImportError as missing:
        _missing[:] = [str(missing)]
        return
    _missing.clear()
    QAudioFormat().setSampleFormat(QAudioFormat.SampleFormat.Int16)
    for kind in (QAudioSink, QMediaDevices, QAudio.Error, QAudio.State, QAudio.VolumeScale):
        dir(kind)


def need_multimedia() -> None:
    """Say that it is there; any thread may ask, after `load_multimedia`.

    Raises
    ------
    ImportError
        If a part of the system that it needs is missing; with its own words for what.
    """
    if _missing:
        raise ImportError(_missing[0])


@contextmanager
def quiet_search() -> Iterator[None]:
    """Keep Qt's remarks on sound systems that are not there off the terminal: we say it better."""

    def only_others(kind: QtMsgType, context: QMessageLogContext, text: str | None) -> None:
        category, text = str(context.category or ""), str(text or "")
        if category.startswith("qt.multimedia") or "PulseAudio" in text or "ALSA" in text:
            return
        if before is not None:
            before(kind, context, text)
        else:
            sys.stderr.write(f"{text}\n")

    before = qInstallMessageHandler(only_others)
    try:
        yield
    finally:
        qInstallMessageHandler(before)
