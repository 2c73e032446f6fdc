"""Zooming, moving and turning: what is under the pointer stays, nothing empty comes into view."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from annotate.clip.showing import WHOLE, Framing
from app.review.viewpoint import MOST_ZOOM, Room, Viewpoint

sides = st.integers(120, 4200)
rooms = st.builds(Room, st.tuples(sides, sides), st.tuples(sides, sides))
shares = st.floats(0, 1)
turns = st.sampled_from((0, 90, 180, 270))
viewpoints = st.builds(
    Viewpoint, st.floats(1, MOST_ZOOM), st.booleans(), st.tuples(shares, shares), turns,
    st.booleans(),
)  # fmt: skip


def a_pixel(room: Room, view: Viewpoint) -> float:
    """Two device pixels, in shares of the picture's shorter side: what rounding may cost."""
    return 2 / (min(room.picture) * view.scale(room)) + (
        1 / min(room.picture) if view.is_one_to_one else 0
    )


@given(rooms, viewpoints)
def test_the_part_shown_lies_within_the_picture_and_the_area_within_the_room(
    room: Room, view: Viewpoint
) -> None:
    left, top, width, height = view.framing(room).region
    assert min(left, top) >= 0
    assert max(left + width, top + height) <= 1 + 1e-9
    area = view.area(room)
    assert min(area.left, area.top) >= 0
    assert area.left + area.width <= room.size[0]
    assert area.top + area.height <= room.size[1]
    assert abs(room.size[0] - area.width - 2 * area.left) <= 1


@given(rooms, viewpoints)
def test_the_shape_of_tissue_is_kept(room: Room, view: Viewpoint) -> None:
    framing = view.framing(room)
    width, height = room.picture if view.turn_deg % 180 == 0 else room.picture[::-1]
    across = framing.width / (framing.region[2] * width)
    down = framing.height / (framing.region[3] * height)
    error = 1 / framing.width + 1 / framing.height
    assert across / down == pytest.approx(1, abs=2 * error)


@given(rooms, viewpoints, shares, shares, st.floats(0.2, 6))
def test_what_is_under_the_pointer_stays_there_unless_an_edge_is_met(
    room: Room, view: Viewpoint, x: float, y: float, factor: float
) -> None:
    at = (x * room.size[0], y * room.size[1])
    area = view.area(room)
    assume(all(0 <= share <= 1 for share in area.share(at)))
    before = view.picture_at(room, at)
    nearer = view.zoomed(room, factor, at)
    region = nearer.framing(room).region
    after = Framing(region=WHOLE, turn_deg=view.turn_deg, is_mirrored=view.is_mirrored).to_view(
        *nearer.picture_at(room, at)
    )
    wanted = Framing(turn_deg=view.turn_deg, is_mirrored=view.is_mirrored).to_view(*before)
    for axis in (0, 1):
        first, part = region[axis], region[axis + 2]
        is_at_edge = part >= 1 or first <= 1e-9 or first + part >= 1 - 1e-9
        if not is_at_edge:
            assert after[axis] == pytest.approx(
                wanted[axis], abs=a_pixel(room, nearer) + a_pixel(room, view)
            )


@given(rooms, viewpoints, shares, shares)
def test_one_step_nearer_and_one_back_shows_the_same_place(
    room: Room, view: Viewpoint, x: float, y: float
) -> None:
    assume(1.5 < view.zoom < 4)
    view = Viewpoint(view.zoom, False, view.centre, view.turn_deg, view.is_mirrored)
    view = view.moved(room, 0, 0)  # held within the picture
    at = (x * room.size[0], y * room.size[1])
    back = view.zoomed(room, 1.25, at).zoomed(room, 1 / 1.25, at)
    assert back.zoom == pytest.approx(view.zoom)
    slack = 4 * a_pixel(room, view)
    assert back.framing(room).region == pytest.approx(view.framing(room).region, abs=slack)


@given(rooms, viewpoints, st.floats(-9000, 9000), st.floats(-9000, 9000))
def test_dragging_moves_the_tissue_with_the_pointer_or_stops_at_an_edge(
    room: Room, view: Viewpoint, right: float, down: float
) -> None:
    assume(not view.is_one_to_one)
    view = view.moved(room, 0, 0)
    moved = view.moved(room, right, down)
    first, then = view.framing(room).region, moved.framing(room).region
    assert then[2:] == first[2:]
    for axis, (by, out) in enumerate(((right, 0), (down, 1))):
        size = view.framing(room).width if out == 0 else view.framing(room).height
        travelled = (first[axis] - then[axis]) / first[axis + 2] * size
        is_at_edge = then[axis] <= 1e-9 or then[axis] + then[axis + 2] >= 1 - 1e-9
        if is_at_edge:
            assert abs(travelled) <= abs(by) + 1
        else:
            assert travelled == pytest.approx(by, abs=1)


@given(rooms, viewpoints)
def test_four_turns_or_two_mirrorings_are_none(room: Room, view: Viewpoint) -> None:
    assert view.turned().turned().turned().turned() == view
    assert view.mirrored().mirrored() == view
    assert view.turned(90).turned(-90) == view


@given(viewpoints)
def test_a_turn_goes_clockwise_as_one_sees_it(view: Viewpoint) -> None:
    """What was at the top lies at the right afterwards, mirrored or not."""
    room = Room((500, 500), (400, 400))
    view = Viewpoint(turn_deg=view.turn_deg, is_mirrored=view.is_mirrored)
    at_top = view.picture_at(room, (250, 0))
    turned = view.turned()
    x, y = turned.framing(room).to_view(*at_top)
    assert (x, y) == pytest.approx((1, 0.5))


@given(rooms, turns, st.booleans(), st.tuples(shares, shares))
def test_one_to_one_gives_each_pixel_one_of_the_screen(
    room: Room, turn: int, is_mirrored: bool, centre: tuple[float, float]
) -> None:
    framing = Viewpoint(1, True, centre, turn, is_mirrored).framing(room)
    width, height = room.picture if turn % 180 == 0 else room.picture[::-1]
    assert framing.region[2] * width == pytest.approx(framing.width)
    assert framing.region[3] * height == pytest.approx(framing.height)
    for first, side in zip(framing.region[:2], (width, height), strict=True):
        assert math.isclose(first * side, round(first * side), abs_tol=1e-6)


@given(rooms, viewpoints)
def test_fitted_is_the_largest_that_shows_all(room: Room, view: Viewpoint) -> None:
    framing = view.fitted().framing(room)
    assert framing.region == pytest.approx(WHOLE)
    assert framing.width == room.size[0] or framing.height == room.size[1]


@given(rooms, viewpoints, st.lists(st.floats(0.3, 3), max_size=12))
def test_zoom_stays_between_fitted_and_eight_times(
    room: Room, view: Viewpoint, factors: list[float]
) -> None:
    view = Viewpoint(view.zoom, False, view.centre, view.turn_deg, view.is_mirrored)
    for factor in factors:
        view = view.zoomed(room, factor)
        assert 1 <= view.times_fitted(room) <= MOST_ZOOM + 1e-9


@given(st.builds(Framing, region=st.tuples(
    st.floats(0, 0.9), st.floats(0, 0.9), st.floats(0.1, 1), st.floats(0.1, 1)
), turn_deg=turns, is_mirrored=st.booleans()), shares, shares)  # fmt: skip
def test_a_framing_leads_there_and_back(framing: Framing, x: float, y: float) -> None:
    assert framing.to_picture(*framing.to_view(x, y)) == pytest.approx((x, y))
    assert framing.to_view(*framing.to_picture(x, y)) == pytest.approx((x, y))
