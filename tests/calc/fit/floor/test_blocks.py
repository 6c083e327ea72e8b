"""Furniture: where no stand goes, what it hides."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.fit.floor.blocks import Block, hidden_by, in_the_way, zones_meet
from scout.calc.fit.floor.space import Space
from scout.calc.fit.lens.camera import View
from scout.calc.fit.lens.framing import camera_place
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.fit.stand.standing import blocked
from scout.calc.geometry import rectangle_m
from scout.errors import OutOfRange

RING = np.array([(1.0, 2.0), (3.0, 2.0), (3.0, 1.0), (1.0, 1.0)])
TABLE, SHELF, UNKNOWN = (
    Block("table", RING, 0.75),
    Block("shelf", RING, 2.1),
    Block("F1", RING, None),
)


def test_a_stand_keeps_its_foot_off_and_its_head_over_a_low_block() -> None:
    # by hand: the block ends at x 3.0; at 3.4 a foot of 0.5 m is on it, at 3.6 it is not; a head of
    # 0.7 m half width hangs over it at 3.6.
    assert bool(in_the_way(TABLE, [3.4, 1.5, 2.0], 0.5, 0.2, 0.2))
    assert not bool(
        in_the_way(TABLE, [3.6, 1.5, 2.0], 0.5, 0.7, 0.2)
    )  # its lower edge at 1.8 m, over the table's 0.75 m
    assert bool(
        in_the_way(SHELF, [3.6, 1.5, 2.0], 0.5, 0.7, 0.2)
    )  # 1.8 m is lower than the shelf's 2.1 m
    assert bool(in_the_way(UNKNOWN, [3.6, 1.5, 2.0], 0.5, 0.7, 0.2))
    assert bool(in_the_way(UNKNOWN, [2.0, 1.5, 2.0], 0.5, 0.0, 0.0))


def test_what_a_block_hides_is_a_matter_of_height() -> None:
    # by hand: from (0, 1.5, 2.4) to the face at (4, 1.5, 1.2) the line falls 0.3 m a metre; over
    # the block, from x 1 to 3, it runs from 2.1 to 1.5 m.
    lamp, face = [0.0, 1.5, 2.4], [4.0, 1.5, 1.2]
    assert not bool(hidden_by(TABLE, lamp, face))
    assert not bool(hidden_by(Block("F", RING, 1.49), lamp, face))
    assert bool(hidden_by(Block("F", RING, 1.51), lamp, face))
    assert not bool(hidden_by(UNKNOWN, lamp, face))  # not judged, and said so elsewhere
    assert not bool(hidden_by(SHELF, [0.0, 2.5, 0.5], [4.0, 2.5, 0.5]))  # passes beside it
    assert not bool(hidden_by(SHELF, [0.0, 2.0, 0.5], [4.0, 2.0, 0.5]))  # along its edge
    assert hidden_by(SHELF, np.array([lamp, [5.0, 1.5, 2.4]]), face).tolist() == [True, False]
    # the same two lines, turned about: each has an end of its own
    ends = np.array([lamp, [5.0, 1.5, 2.4]])
    assert hidden_by(SHELF, np.array([face, face]), ends).tolist() == [True, False]


def test_a_seated_face_over_its_own_sofa_is_not_hidden() -> None:
    # by hand: the face at 1.2 m within the sofa's outline, the sofa 0.85 m high: the line ends
    # above it.
    assert not bool(hidden_by(Block("sofa", RING, 0.85), [5.0, 1.5, 2.4], [2.0, 1.5, 1.2]))
    assert bool(hidden_by(Block("box", RING, 1.3), [5.0, 1.5, 2.4], [2.0, 1.5, 1.2]))


def test_the_reasons_name_furniture() -> None:
    space = Space(rectangle_m(6.0, 6.0), 2.8, (), (SHELF,))
    here = Stage(
        space,
        (4.0, 3.5, 1.2),
        (4.0, 5.5, 1.4),
        (View((4.0, 5.5, 1.4), (4.0, 3.5, 1.2), 24.9, 14.0, 50.0),),
    )
    found = blocked(
        here,
        Lamp(1.1, 2.6, 0.35),
        np.array([[2.0, 1.5, 2.2], [1.0, 0.6, 1.3], [5.2, 3.0, 2.2]]),
        None,
    )
    assert found["furniture"].tolist() == [True, True, False]
    assert found["hidden"].tolist() == [True, True, False]


def test_the_tripod_needs_floor_and_the_lens_a_view() -> None:
    # by hand: straight down the middle of the block the tripod at y 1.5 stands on it; from y 0.5
    # the shelf (2.1 m) hides the subject, a table does not.
    for block in (TABLE, SHELF):
        space = Space(rectangle_m(4.0, 7.0), 2.7, (), (block,))
        on_it = camera_place(space, [2.0, 5.0], [0.0, -1.0], 3.5, (1.4, 1.2))
        assert (on_it.fits, on_it.reason, on_it.beside) == (False, "furniture", None)
    for block, reason in (
        (Block("low", RING + np.array([0.0, 2.0]), 0.75), None),
        (Block("high", RING + np.array([0.0, 2.0]), 2.1), "hidden"),
    ):
        space = Space(rectangle_m(4.0, 7.0), 2.7, (), (block,))
        assert camera_place(space, [2.0, 5.5], [0.0, -1.0], 3.5, (1.4, 1.2)).reason == reason


def test_outlines_that_touch_do_not_overlap() -> None:
    other = RING + np.array([2.0, 0.0])
    assert not zones_meet(RING, other)  # by hand: they share the line x = 3
    assert zones_meet(RING, other - [0.01, 0.0])
    turned = np.array([(3.5, 1.5), (4.0, 2.0), (4.5, 1.5), (4.0, 1.0)])
    assert not zones_meet(RING, turned)
    assert zones_meet(RING, turned - [0.6, 0.0])


def test_a_block_without_area_is_refused() -> None:
    with pytest.raises(OutOfRange, match="ring_m"):
        Block("F1", np.array([(0.0, 0.0), (1.0, 0.0)]), 1.0)
    with pytest.raises(OutOfRange, match="height_m"):
        Block("F1", RING, 0.0)


def test_one_sees_under_a_table() -> None:
    # by hand: a top from 0.70 to 0.74 m hides a level line at 0.72 and none at 0.5 or 0.9
    ring = np.array([(1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (-1.0, 1.0)])
    table = Block("table", ring, 0.74, 0.70)
    for level, hidden in ((0.5, False), (0.72, True), (0.9, False)):
        start, end = np.array([-3.0, 0.0, level]), np.array([3.0, 0.0, level])
        assert bool(hidden_by(table, start, end)) is hidden
