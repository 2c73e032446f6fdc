"""What is seen in and on the cornea: ports, their lips about a shaft, bubbles, whitening."""

from __future__ import annotations

import cv2
import numpy as np

from sample_clips.geometry import PORTS, Array, Port, apply
from sample_clips.texture import Picture

BUBBLES = ((1.9, -1.7, 0.16), (2.15, -1.45, 0.10), (-2.3, 0.9, 0.12), (0.7, 2.5, 0.09))


def _fixed(matrix: Array, points: Array) -> np.ndarray:
    return np.round(apply(matrix, points) * 16).astype(np.int32).reshape(-1, 1, 2)


def _window(frame: Picture, matrix: Array, centre: Array, half_mm: float) -> tuple[slice, slice]:
    """Rows and columns about a place, clipped to the frame."""
    x, y = apply(matrix, centre)
    reach = half_mm * float(np.hypot(*matrix[:, 0]))
    top, bottom = (int(np.clip(v, 0, frame.shape[0])) for v in (y - reach, y + reach + 1))
    left, right = (int(np.clip(v, 0, frame.shape[1])) for v in (x - reach, x + reach + 1))
    return slice(top, bottom), slice(left, right)


def _bowed(line: Array, port: Port) -> Array:
    """A straight line as a shallow bow, as the cornea's curve makes it look."""
    u = np.linspace(0, 1, 12)[:, None]
    straight = line[0] + (line[1] - line[0]) * u
    return np.asarray(straight + port.outward * (0.05 * port.width_mm * 4 * u * (1 - u)))


def draw_port(frame: Picture, matrix: Array, port: Port, cut: float) -> None:
    """Draw a port as far as it has been cut: tunnel, inner mouth, outer lip."""
    if cut <= 0.01:
        return
    edges = port.edges()
    inward = -port.outward * port.tunnel_mm * cut
    inner = edges.mean(axis=0) + (edges - edges.mean(axis=0)) * 0.92 + inward
    box = np.vstack([edges, inner[::-1]])
    rows, cols = _window(frame, matrix, box.mean(axis=0), 2.6)
    part = frame[rows, cols]
    over = part.copy()
    offset = np.array([cols.start, rows.start]) * 16
    cv2.fillPoly(over, [_fixed(matrix, box) - offset], (206, 206, 202), cv2.LINE_AA, 4)
    cv2.addWeighted(over, 0.09, part, 0.91, 0, dst=part)
    over = part.copy()
    for line, colour in (
        (box[[1, 2]], (150, 152, 148)),
        (box[[0, 3]], (150, 152, 148)),
        (_bowed(box[[2, 3]], port), (186, 188, 184)),
        (_bowed(edges - port.outward * 0.07, port), (228, 228, 226)),
        (_bowed(edges, port), (62, 58, 84)),
    ):
        cv2.polylines(over, [_fixed(matrix, line) - offset], False, colour, 1, cv2.LINE_AA, 4)
    cv2.addWeighted(over, 0.5, part, 0.5, 0, dst=part)


def draw_lips(frame: Picture, matrix: Array, port: Port, lateral: float, kind: str) -> None:
    """Draw the outer lip over the shaft, with folds and whitening where it is leaned on."""
    edges = port.edges()
    middle = port.centre + port.tangent * lateral * port.width_mm / 2
    bulge = middle + port.outward * 0.12
    lip = np.array([edges[0], 0.5 * (edges[0] + bulge), bulge, 0.5 * (bulge + edges[1]), edges[1]])
    rows, cols = _window(frame, matrix, port.centre, 3.4)
    part, offset = frame[rows, cols], np.array([cols.start, rows.start]) * 16
    over = part.copy()
    cv2.polylines(over, [_fixed(matrix, lip) - offset], False, (222, 220, 216), 2, cv2.LINE_AA, 4)
    cv2.addWeighted(over, 0.45, part, 0.55, 0, dst=part)
    strain = max(0.0, abs(lateral) - 0.45) / 0.5
    if strain <= 0 or kind != "phaco":
        return
    side = edges[1] if lateral > 0 else edges[0]
    _whiten(frame, matrix, side - port.outward * 0.35, 1.0, 0.5 * min(strain, 1.0))
    over = part.copy()
    for k in range(5):
        start = side - port.outward * (0.2 + 0.1 * k)
        turn = port.tangent * np.sign(lateral) * (0.5 - 0.45 * k)
        end = start - port.outward * (1.5 - 0.1 * k) - turn
        line = np.array([start, end])
        cv2.polylines(
            over, [_fixed(matrix, line) - offset], False, (212, 212, 206), 1, cv2.LINE_AA, 4
        )
    cv2.addWeighted(over, 0.38 * min(strain, 1.0), part, 1 - 0.38 * min(strain, 1.0), 0, dst=part)


def _whiten(frame: Picture, matrix: Array, centre: Array, radius_mm: float, alpha: float) -> None:
    rows, cols = _window(frame, matrix, centre, 2.4 * radius_mm)
    part = frame[rows, cols]
    if part.size == 0:
        return
    x, y = apply(matrix, centre)
    px = float(np.hypot(*matrix[:, 0]))
    gx = (np.arange(cols.start, cols.stop) - x) / (px * radius_mm)
    gy = (np.arange(rows.start, rows.stop) - y) / (px * radius_mm)
    weight = alpha * np.exp(-(gx[None, :] ** 2 + gy[:, None] ** 2))[..., None]
    part[:] = (part + (np.array([212, 214, 210]) - part) * weight).astype(np.uint8)


def draw_haze(frame: Picture, matrix: Array, level: float) -> None:
    """Whiten the cornea about the main incision, as fluid in its walls does."""
    if level <= 0.01:
        return
    port = PORTS["main"]
    for share in (-0.6, 0.0, 0.6):
        place = port.outward * 4.7 + port.tangent * share * 1.2
        _whiten(frame, matrix, place, 0.75, 0.34 * level)


def draw_bubbles(frame: Picture, matrix: Array, level: float) -> None:
    """A few small bubbles of air: a dark ring, a light rim, a bright point."""
    if level <= 0.05:
        return
    px = float(np.hypot(*matrix[:, 0]))
    for x, y, radius in BUBBLES:
        r = round(radius * min(1.0, level * 1.4) * px * 16)
        cx, cy = (int(v) for v in np.round(apply(matrix, np.array([x, y])) * 16))
        cv2.circle(frame, (cx, cy), r, (96, 110, 150), 2, cv2.LINE_AA, 4)
        cv2.circle(frame, (cx, cy), max(r - 18, 8), (196, 206, 224), 1, cv2.LINE_AA, 4)
        cv2.circle(frame, (cx - r // 3, cy - r // 3), 20, (255, 255, 255), -1, cv2.LINE_AA, 4)
