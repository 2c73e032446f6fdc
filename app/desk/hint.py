"""The first minute: three steps, shown once and from the Help menu."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QVBoxLayout, QWidget

_STEPS = """
<h3>The first minute</h3>
<p><b>1. Let it run.</b> Open a case and press <b>Space</b>. Arrow keys step frame by frame;
with Shift, by a second. The ribbon under the picture is the whole case.</p>
<p><b>2. Tag while it runs.</b> Each step of the operation has a key, shown on the pad at the
right: press it where the step begins, and the one before ends. Event keys drop a pin.
<b>Return</b> starts a comment; just type, the clip plays on.</p>
<p><b>3. Hand it back.</b> <b>Ctrl + E</b> writes the note: what went well, what to change, each
with its time and picture. Everything is kept as you go; there is nothing to save, and
<b>Ctrl + Z</b> takes any edit back.</p>
"""


class HintDialog(QDialog):
    """Three steps in a small window."""

    def __init__(self, extra: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("The first minute")
        words = QLabel(_STEPS + extra)
        words.setWordWrap(True)
        words.setMinimumWidth(470)
        buttons = QDialogButtonBox()
        begin = buttons.addButton("Begin", QDialogButtonBox.ButtonRole.AcceptRole)
        begin.setDefault(True)
        buttons.accepted.connect(self.accept)
        column = QVBoxLayout(self)
        column.setContentsMargins(22, 14, 22, 16)
        column.addWidget(words)
        column.addWidget(buttons)


class CautionsDialog(QDialog):
    """What the figures are for, and what they are not for."""

    def __init__(self, cautions: tuple[str, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Cautions")
        words = QLabel("".join(f"<p>{caution}</p>" for caution in cautions))
        words.setWordWrap(True)
        words.setMinimumWidth(460)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setContentsMargins(22, 12, 22, 14)
        column.addWidget(words)
        column.addWidget(buttons)
