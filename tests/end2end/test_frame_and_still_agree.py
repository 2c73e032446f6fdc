"""`frame` and a still of the note agree in number, time and picture, on clips of many kinds."""

from __future__ import annotations

import json
import random
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from command_line import CommandLine
from kinds_made import KindsMade
from note_scenes import comment, scene_vocabulary
from numbered_clips import read_number
from PIL import Image

from annotate.clip import build_index
from annotate.markup import Markup
from app.handback.case_frames import SentPart, stills_of
from app.jobs.work import Work

KINDS = ["variable_rate.mp4", "h264_open_groups.ts", "mpeg2_interlaced.mpg", "turned_90.mp4",
         "mirrored_turned_90.mov", "wide_pixels.mp4", "edit_list.mp4", "wmv2.wmv",
         "hevc_10_bit.mkv", "vp9_hidden_pictures.webm", "clock_starts_again.ts",
         "h264_without_times.avi", "h264.mp4.dcm"]  # fmt: skip
N_MOMENTS = 8
JPEG_ERROR = 6.0
"""Mean difference, of 255, that JPEG at the note's quality may leave; another frame's is beyond."""


def pixels(source: BytesIO | Path) -> np.ndarray:
    with Image.open(source) as image:
        return np.asarray(image.convert("RGB"))


@pytest.mark.parametrize("kind", KINDS)
def test_number_time_and_picture_are_the_same(
    kind: str, line: CommandLine, out: Path, made: KindsMade
) -> None:
    (path, shown), chance = made(kind), random.Random(kind)
    index = build_index(path)
    edges = [*index.times_us.tolist(), index.duration_us]
    numbers = sorted(chance.sample(range(index.n_frames), N_MOMENTS))
    moments = [chance.randrange(edges[n], edges[n + 1]) for n in numbers]

    markup = Markup(comments=tuple(comment(f"At {t}.", t) for t in moments))
    part = SentPart(path, index.to_bytes(), index.n_frames, index.duration_us)
    stills = stills_of([part], markup, scene_vocabulary(), work=Work()).by_row
    words = [w for t in moments for w in ("--at", f"{t // 10**6}.{t % 10**6:06d}")]
    outcome = line.run("--json", "frame", path, *words, "--to", out)
    answers = json.loads(outcome.out)

    assert outcome.code == 0
    assert [answer["number"] for answer in answers] == numbers
    for row, answer in zip(markup.comments, answers, strict=True):
        still, number = stills[row.id], answer["number"]
        picture = pixels(out / f"frame_{number:07d}.png")
        assert (still.frame_number, still.time_us) == (number, round(answer["time_s"] * 10**6))
        assert still.time_us == edges[number]
        assert read_number(picture) == shown[number]
        in_note = pixels(BytesIO(still.content))
        assert read_number(in_note) == shown[number]
        assert in_note.shape == picture.shape
        assert np.abs(in_note.astype(int) - picture.astype(int)).mean() < JPEG_ERROR
