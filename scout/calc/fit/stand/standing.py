"""Where one light may stand: every reason against a place, for many places at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.fit.floor.blocks import Block, hidden_by, in_the_way
from scout.calc.fit.floor.space import (
    OPERATOR_WIDTH_M,
    PATH_HALF_WIDTH_M,
    SUBJECT_RADIUS_M,
    TRIPOD_RADIUS_M,
    BoolArray,
    ahead_zone_m,
    distance_to_line_m,
    sees,
    stands_inside,
    within_m,
)
from scout.calc.fit.lens.camera import View, column_in_frame
from scout.calc.fit.lens.framing import BEHIND_LENS_M
from scout.calc.fit.stand.lights import Lamp, Stage, highest_m
from scout.calc.fit.stand.shape import TURNS_DEG, Stand
from scout.calc.geometry import FloatArray, require

FRAME_MARGIN_SHARE = 0.05  # a stand stays this much of the frame outside its edges
# What a stand turned to fit may be free of though a column as wide is not.
OF_PARTS = ("wall", "furniture", "subject", "camera", "frame", "exit", "path", "light")
TURNS = len(TURNS_DEG)
POLE_RADIUS_M = 0.05  # of pole and leg braces (common practice)
CHUNK = 500  # places asked at a time: their legs in every turn fill the memory
WORTH_LEAVING = 0.7  # with fewer stands still asked for than this share, their legs are laid anew
# In the order in which they are told to a person.
REASONS = (
    "ceiling",
    "wall",
    "furniture",
    "sight",
    "hidden",
    "subject",
    "camera",
    "frame",
    "exit",
    "path",
    "light",
    "lead",
)


def blocked(
    stage: Stage, lamp: Lamp, at_m: ArrayLike, view: View | None
) -> Mapping[str, BoolArray]:
    """Every reason against places for a light, by name (see REASONS).

    at_m:    (..., 3), middle of the head
    view:    the frame it must stay out of; None: no frame is judged
    Returns: name to (...), true where that reason holds; of a stand by its shape, the reasons of its
        legs hold for the turn in which fewest do
    Raises:  OutOfRange
    """
    at = require("at_m", at_m)
    places = at.reshape(-1, 3)
    flat = _by_name(REASONS, _column_tests(stage, lamp, view), places, (len(places),))
    if stage.by_shape:
        # What a column is free of its parts are free of too; what its parts cannot mend is not
        # asked.
        asked = np.logical_or.reduce([flat[name] for name in OF_PARTS]) & ~np.logical_or.reduce(
            [flat[name] for name in flat if name not in OF_PARTS]
        )
        for rows in _chunks(asked):
            for name, held in _by_parts(stage, lamp, places[rows], view).items():
                flat[name][rows] = held
    return {name: held.reshape(at.shape[:-1]) for name, held in flat.items()}


def may_stand(stage: Stage, lamp: Lamp, at_m: FloatArray, view: View | None) -> BoolArray:
    """(n,) whether no reason at all holds against places (n, 3): as `blocked`, but each reason is
    asked only of the places that those before it left. Raises OutOfRange.
    """
    at = require("at_m", at_m)
    tests = _column_tests(stage, lamp, view)
    if not stage.by_shape:
        return _free_of(tests, at)
    of_parts, rest = _split(tests)
    # the way of a lead is dear, and few places are free of all else
    leads = [(name, test) for name, test in rest if name == "lead"]
    possible = np.flatnonzero(_free_of([one for one in rest if one not in leads], at))
    free = np.zeros(len(at), dtype=np.bool_)
    free[possible] = _free_of(of_parts, at[possible])
    asked = np.zeros(len(at), dtype=np.bool_)
    asked[possible] = ~free[possible]
    for rows in _chunks(asked):
        heads, turns = _parts_free(stage, lamp, at[rows], view)
        free[rows] = heads & np.any(turns, axis=-1)
    free[free] = _free_of(leads, at[free])
    return free


@dataclass(frozen=True, eq=False)
class Asked:
    """Places (n, 3) for a light that are asked of one lens after another: what holds whatever the
    lens is worked out once, and what a lens sees of them once for each lens.
    """

    stage: Stage
    lamp: Lamp
    at_m: FloatArray
    _seen: dict[int, BoolArray] = field(default_factory=dict)

    def seen(self, lens: int) -> BoolArray:
        """(n,) whether a lens, by its place among the stage's views, sees the light; of a stand by its shape, whether it may not stand,
        also where legs that are turned out of the frame have no floor.
        """
        if lens not in self._seen:
            view = self.stage.views[lens]
            self._seen[lens] = self._by_shape(view) if self.stage.by_shape else self._column(view)
        return self._seen[lens]

    def _column(self, view: View) -> BoolArray:
        return column_in_frame(
            view,
            self.at_m[:, :2],
            np.maximum(self.at_m[:, 2], 0.0),
            self.lamp.radius_m,
            FRAME_MARGIN_SHARE,
        )

    def _by_shape(self, view: View) -> BoolArray:
        possible, columns, stand, heads, turns = self._whatever_the_lens
        free = columns & ~self._column(view)
        rest = np.flatnonzero(possible & heads & ~free)
        if len(rest):
            rest = rest[~stand.of(rest).head_seen(view)]
            free[rest] = np.any(turns[rest] & ~stand.of(rest).legs_seen(view), axis=-1)
        return np.asarray(~free)

    @cached_property
    def _whatever_the_lens(self) -> tuple[BoolArray, BoolArray, Stand, BoolArray, BoolArray]:
        """Where a stand is possible at all, where it may be a column, the stands, where their heads
        may be, and in which turns their legs.
        """
        of_parts, rest = _split(_column_tests(self.stage, self.lamp, None))
        possible = _free_of(rest, self.at_m)
        columns = possible & _free_of(of_parts, self.at_m)
        stand = _stand(self.lamp, self.at_m, np.asarray(self.stage.subject_m))
        return possible, columns, stand, *_parts_free(self.stage, self.lamp, self.at_m, None)


Thing = TypeVar("Thing")
Tests = Sequence[tuple[str, Callable[[Thing], BoolArray]]]


def _by_name(
    names: Sequence[str], tests: Tests[Thing], thing: Thing, shape: tuple[int, ...]
) -> dict[str, BoolArray]:
    found = {name: np.zeros(shape, dtype=np.bool_) for name in names}
    for name, test in tests:
        found[name] |= test(thing)
    return found


def _free_of(tests: Tests[FloatArray], at: FloatArray) -> BoolArray:
    """(n,) where none of the tests holds, each asked only of what is left."""
    rows = np.arange(len(at))
    for _, test in tests:
        if not len(rows):
            break
        rows = rows[~test(at[rows])]
    free = np.zeros(len(at), dtype=np.bool_)
    free[rows] = True
    return free


def _split(tests: Tests[FloatArray]) -> tuple[Tests[FloatArray], Tests[FloatArray]]:
    """The tests of what parts may be free of though a column is not, and those of the rest."""
    return (
        [(name, test) for name, test in tests if name in OF_PARTS],
        [(name, test) for name, test in tests if name not in OF_PARTS],
    )


def _chunks(asked: BoolArray) -> list[NDArray[np.intp]]:
    rows = np.flatnonzero(asked)
    return np.array_split(rows, 1 + len(rows) // CHUNK) if len(rows) else []


def _column_tests(stage: Stage, lamp: Lamp, view: View | None) -> Tests[FloatArray]:
    """What speaks against a stand as a column, the cheap first, each of places (n, 3)."""
    subject, camera = np.asarray(stage.subject_m), np.asarray(stage.camera_m)
    plan, radius, operator = stage.space.plan_m, lamp.radius_m, _operator(stage)
    highest = highest_m(stage.space, lamp)
    path = np.asarray(stage.path_m)
    # The whole stand keeps clear of the person's circle; only its pole and head need to be seen
    # past.
    tests: list[tuple[str, Callable[[FloatArray], BoolArray]]] = [
        ("ceiling", lambda at: (at[:, 2] > highest + 1e-9) | (at[:, 2] < lamp.stand_min_m - 1e-9)),
        ("subject", lambda at: _off(at, subject) < radius + SUBJECT_RADIUS_M - 1e-9),
        ("camera", lambda at: _off(at, camera) < radius + TRIPOD_RADIUS_M),
    ]
    tests += [("light", partial(_at_stand, stood, radius)) for stood in stage.stood]
    tests += [
        ("wall", lambda at: ~stands_inside(plan, at, radius)),
        ("camera", lambda at: within_m(operator, at, radius)),
        ("sight", lambda at: ~sees(plan, at, subject[:2])),
    ]
    tests += [("exit", partial(_at_zone, zone, radius)) for zone in stage.space.exits_m]
    if len(stage.path_m) >= 2:
        tests.append(("path", lambda at: distance_to_line_m(path, at) < radius + PATH_HALF_WIDTH_M))
    for block in stage.space.blocks:
        foot, half = lamp.foot_m / 2.0, lamp.head_m / 2.0
        tests.append(("furniture", partial(_meets, block, foot, radius, half)))
    if view is not None:
        tests.append(
            (
                "frame",
                lambda at: column_in_frame(
                    view, at[:, :2], np.maximum(at[:, 2], 0.0), radius, FRAME_MARGIN_SHARE
                ),
            )
        )
    for block in stage.space.blocks:
        tests.append(("hidden", partial(_hides, block, subject)))
    reach, lead_m = stage.reach, lamp.lead_m
    if reach is not None and lead_m is not None:
        tests.append(("lead", lambda at: ~reach.reaches(at, lead_m)))
    return tests


def _off(at: FloatArray, point_m: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.norm(at[:, :2] - point_m[:2], axis=-1))


def _at_stand(stood: tuple[float, float, float], radius_m: float, at: FloatArray) -> BoolArray:
    x, y, taken = stood
    return np.asarray(np.hypot(at[:, 0] - x, at[:, 1] - y) < radius_m + taken)


def _at_zone(zone_m: FloatArray, radius_m: float, at: FloatArray) -> BoolArray:
    return within_m(zone_m, at, radius_m)


def _meets(block: Block, foot_m: float, wide_m: float, half_m: float, at: FloatArray) -> BoolArray:
    return in_the_way(block, at, foot_m, wide_m, half_m)


def _hides(block: Block, subject_m: FloatArray, at: FloatArray) -> BoolArray:
    return hidden_by(block, at, subject_m)


def _by_parts(stage: Stage, lamp: Lamp, at: FloatArray, view: View | None) -> dict[str, BoolArray]:
    """The reasons OF_PARTS against places (n, 3), legs, pole and head each by itself."""
    stand = _stand(lamp, at, np.asarray(stage.subject_m))
    head = _by_name(OF_PARTS, _head_tests(stage, lamp, view), stand, (len(at),))
    # Where the head cannot be nobody asks for the legs, which are dearer.
    free = ~np.logical_or.reduce(list(head.values()))
    legs = _by_name(OF_PARTS, _leg_tests(stage, view), stand.of(free), (int(np.sum(free)), TURNS))
    held = np.stack(list(legs.values()))
    best = np.argmin(np.sum(held, axis=0), axis=-1)
    for row, name in enumerate(OF_PARTS):
        head[name][free] = held[row, np.arange(len(best)), best]
    return head


def _parts_free(
    stage: Stage, lamp: Lamp, at: FloatArray, view: View | None
) -> tuple[BoolArray, BoolArray]:
    """(n,) where nothing speaks against pole and head, and (n, turns) nor there against the legs."""
    rows, stand = np.arange(len(at)), _stand(lamp, at, np.asarray(stage.subject_m))
    for _, of_head in _head_tests(stage, lamp, view):
        off = ~of_head(stand)
        if not off.all():
            rows, stand = rows[off], stand.of(off)
    heads, turns = np.zeros(len(at), dtype=np.bool_), np.zeros((len(at), TURNS), dtype=np.bool_)
    heads[rows] = True
    left = np.ones((len(rows), TURNS), dtype=np.bool_)
    for _, of_legs in _leg_tests(stage, view):
        left &= ~of_legs(stand)
        some = np.any(left, axis=-1)
        if np.count_nonzero(some) < WORTH_LEAVING * len(some):
            rows, left, stand = rows[some], left[some], stand.of(some)
    turns[rows] = left
    return heads, turns


def _head_at(point_m: FloatArray, radius_m: float, stand: Stand) -> BoolArray:
    return ~stand.head_off(point_m, radius_m)


def _legs_at(point_m: FloatArray, radius_m: float, stand: Stand) -> BoolArray:
    return ~stand.legs_off(point_m, radius_m)


def _head_meets(meets: Callable[[FloatArray], BoolArray], stand: Stand) -> BoolArray:
    return meets(stand.at_m)


def _head_tests(stage: Stage, lamp: Lamp, view: View | None) -> Tests[Stand]:
    """What speaks against pole and head alone, each (n,)."""
    subject, camera = np.asarray(stage.subject_m)[:2], np.asarray(stage.camera_m)[:2]
    path = np.asarray(stage.path_m)
    wide, half = max(lamp.head_m, lamp.soft_width_m) / 2.0, lamp.head_m / 2.0
    tests: list[tuple[str, Callable[[Stand], BoolArray]]] = [
        ("wall", lambda stand: ~stand.head_on(stage.space)),
        ("subject", partial(_head_at, subject, SUBJECT_RADIUS_M)),
        ("camera", partial(_head_at, camera, TRIPOD_RADIUS_M)),
        ("camera", lambda stand: stand.head_in(_operator(stage))),
    ]
    for block in stage.space.blocks:
        meets = partial(_meets, block, POLE_RADIUS_M, wide, half)
        tests.append(("furniture", partial(_head_meets, meets)))
    for zone in stage.space.exits_m:
        tests.append(("exit", partial(Stand.head_in, ring_m=zone)))
    for x, y, taken in stage.stood:
        tests.append(("light", partial(_head_at, np.array([x, y]), taken)))
    if len(stage.path_m) >= 2:
        tests.append(
            ("path", lambda stand: distance_to_line_m(path, stand.at_m) < PATH_HALF_WIDTH_M)
        )
    if view is not None:
        tests.append(("frame", lambda stand: stand.head_seen(view)))
    return tests


def _leg_tests(stage: Stage, view: View | None) -> Tests[Stand]:
    """What speaks against the legs, each (n, turns)."""
    subject, camera = np.asarray(stage.subject_m)[:2], np.asarray(stage.camera_m)[:2]
    path = np.asarray(stage.path_m)
    tests: list[tuple[str, Callable[[Stand], BoolArray]]] = [
        ("subject", partial(_legs_at, subject, SUBJECT_RADIUS_M)),
        ("camera", partial(_legs_at, camera, TRIPOD_RADIUS_M)),
        ("wall", lambda stand: ~stand.legs_on(stage.space)),
        ("camera", lambda stand: stand.legs_in(_operator(stage))),
    ]
    for ring, name in (
        *((block.ring_m, "furniture") for block in stage.space.blocks),
        *((zone, "exit") for zone in stage.space.exits_m),
    ):
        tests.append((name, partial(Stand.legs_in, ring_m=ring)))
    for x, y, taken in stage.stood:
        tests.append(("light", partial(_legs_at, np.array([x, y]), taken)))
    if len(stage.path_m) >= 2:
        tests.append(
            (
                "path",
                lambda stand: np.any(
                    distance_to_line_m(path, stand.legs_m) < PATH_HALF_WIDTH_M, axis=(-1, -2)
                ),
            )
        )
    if view is not None:
        tests.append(("frame", lambda stand: stand.legs_seen(view)))
    return tests


def _stand(lamp: Lamp, at: FloatArray, subject: FloatArray) -> Stand:
    return Stand(at, subject, lamp.foot_m / 2.0, lamp.head_m / 2.0, lamp.soft_width_m / 2.0)


def _operator(stage: Stage) -> FloatArray:
    """(4, 2) the floor behind the lens."""
    return ahead_zone_m(
        np.asarray(stage.camera_m)[:2],
        stage.towards_camera,
        0.0,
        BEHIND_LENS_M,
        OPERATOR_WIDTH_M / 2.0,
    )
