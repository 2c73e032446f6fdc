"""How the case on the screen is looked at: set by keys and panel, remembered, said in words."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, QTimer, Signal

from annotate.clip.showing import NEUTRAL
from app.review.case_looks import AS_FILMED, CaseLook, CaseLooks
from app.review.picture import PictureView

_KEEP_AFTER_MS = 400


class Looks(QObject):
    """Joins a picture view with what is remembered of its case.

    Parameters
    ----------
    case_id : str
    kept : CaseLooks
        Where looks are remembered.
    """

    said = Signal(str)

    def __init__(
        self, picture: PictureView, case_id: str, kept: CaseLooks, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._picture, self._case_id, self._kept = picture, case_id, kept
        self._known = kept.look(case_id)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_KEEP_AFTER_MS)
        self._timer.timeout.connect(self.keep)
        self.put(self._known)
        picture.framing_changed.connect(self._follow)

    @property
    def look(self) -> CaseLook:
        """Way round and tone as they are set now."""
        seen = self._picture.viewpoint
        return CaseLook(seen.turn_deg, seen.is_mirrored, self._picture.chosen_tone)

    def put(self, look: CaseLook) -> None:
        """Look at the case so."""
        picture = self._picture
        picture.look_from(
            replace(picture.viewpoint, turn_deg=look.turn_deg, is_mirrored=look.is_mirrored)
        )
        picture.set_tone(look.tone)

    def as_filmed(self) -> None:
        """Leave turn, mirror and tone out for good."""
        self.put(AS_FILMED)
        self._picture.show_original(False)

    def _follow(self) -> None:
        if self.look != self._known:
            self._timer.start()

    def keep(self) -> None:
        """Remember it now; called when the case is left too."""
        self._timer.stop()
        look = self.look
        if look == self._known:
            return
        self._known = look
        try:
            self._kept.keep(self._case_id, look)
        except OSError as fault:
            self.said.emit(
                f"How this case is looked at could not be remembered ({fault.strerror}); it holds "
                "until you leave the case."
            )

    def words(self) -> tuple[str, str]:
        """Say what differs from the picture as it was filmed: long, with how to see that; short."""
        picture = self._picture
        seen = picture.seen_from
        long, short = [], []
        if seen.is_one_to_one:
            long, short = ["one to one"], ["1:1"]
        elif not seen.is_fitted:
            times = f"{seen.times_fitted(picture.look_room()):.1f} ×"
            long, short = [f"{times} nearer"], [times]
        if picture.is_original:
            return ", ".join([*long, "as filmed, for now"]), " ".join([*short, "as filmed"])
        if seen.turn_deg:
            long.append(f"turned {seen.turn_deg}°")
            short.append(f"{seen.turn_deg}°")
        if seen.is_mirrored:
            long.append("mirrored")
            short.append("mirrored")
        if picture.tone != NEUTRAL:
            long.append("tone changed")
            short.append("tone")
        hint = "" if self.look == AS_FILMED else "; hold P to see it as filmed"
        return ", ".join(long) + hint, " ".join(short)
