"""Plays a clip's sound in a process of its own, and says as JSON what happened.

Qt asks for a process's sound server once, so each session that is to meet another one is another
process. Moments are those of `time.perf_counter`, which the processes of a machine share.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

from private_sound import hurry


def main(clip: str, speed: float, seconds: float, until_said: bool, no_multimedia: bool) -> None:
    from PySide6.QtCore import QTimer
    from PySide6.QtGui import QGuiApplication

    from annotate.clip import build_index
    from annotate.clip.case_sound import CaseSound
    from app.playing.sound_out import SoundOut
    from app.playing.sound_pump import SoundPump

    if no_multimedia:
        sys.modules["PySide6.QtMultimedia"] = None  # type: ignore[assignment]
    application = QGuiApplication([])
    index = build_index(clip)
    said: list[str] = []
    words: list[str] = []
    clock: list[tuple[float, float] | None] = []
    pumps: list[SoundPump] = []
    out = SoundOut(
        lambda wish: pumps[0].start(*wish) if wish else pumps[0].stop(),
        lambda generation, n_bytes: pumps[0].consumed(generation, n_bytes),  # noqa: PLW0108
    )
    pumps.append(SoundPump(lambda: CaseSound([(Path(clip), index)]), out.take_in))
    out.said_once.connect(said.append)
    out.words_changed.connect(lambda: words.append(out.device_words))
    if until_said:
        out.said_once.connect(lambda _: QTimer.singleShot(200, application.quit))
    look = QTimer()
    look.setInterval(20)
    look.timeout.connect(lambda: clock.append(out.clock()))
    look.start()
    due_s = time.perf_counter() + 0.1
    out.start(0, speed, due_s)
    print("playing", flush=True)
    QTimer.singleShot(round(seconds * 1000), application.quit)
    application.exec()
    out.close()
    pumps[0].close()
    told = {"due_s": due_s, "clock": clock, "words": words, "said": said, "report": out.report}
    print(json.dumps(told), flush=True)


if __name__ == "__main__":
    hurry()
    main(sys.argv[1], float(sys.argv[2]), float(sys.argv[3]), "until-said" in sys.argv,
         "no-multimedia" in sys.argv)  # fmt: skip
