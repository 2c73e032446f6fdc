"""Plays a clip with its sound as the desk does, in a process of its own, and says what was painted.

Each painting comes as JSON: its moment by `time.perf_counter`, its case time, how bright it was.
"""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


def main(clip: str, speed: float, seconds: float) -> None:
    from playing_measures import case_with, stage
    from PySide6.QtCore import QTimer
    from PySide6.QtWidgets import QApplication

    from app.playing.sound_beside import SoundBeside

    application = QApplication([])
    brightness: list[float] = []
    said: list[str] = []
    with stage(case_with(Path(clip)), (320, 180)) as screen:
        sound = SoundBeside(screen.feed)
        sound.out.said_once.connect(said.append)

        def look() -> None:
            if len(screen.painted) > len(brightness):
                middle = screen.view.grab().toImage().pixelColor(160, 90)
                brightness.append(float(middle.value()))

        screen.feed.picture_came.connect(look)

        def run() -> None:
            screen.clear()
            brightness.clear()
            sound.run_at(speed)
            screen.feed.play(0, speed)

        screen.feed.show_number(0)
        QTimer.singleShot(1500, run)
        QTimer.singleShot(round(1500 + seconds * 1000), application.quit)
        print("playing", flush=True)
        application.exec()
        painted = [
            (p.at_s, p.time_us, bright)
            for p, bright in zip(screen.painted, brightness, strict=False)
        ]
        sound.close()
    print(json.dumps({"painted": painted, "said": said, "dropped": screen.n_dropped}), flush=True)


if __name__ == "__main__":
    main(sys.argv[1], float(sys.argv[2]), float(sys.argv[3]))
