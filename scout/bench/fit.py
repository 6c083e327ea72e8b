"""The three-point plan and the figures of a plan drawn by hand, against what people may be made to
wait; and the plugging plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from scout.assess.fit.fit import fit, placements
from scout.assess.fit.plan.figures import plan_figures, with_plan
from scout.assess.fit.plan.rows import plan_rows
from scout.assess.stage.floor import ground, stage_of
from scout.assess.stage.kit import roles
from scout.bench.measure import Row, at_least, within
from scout.bench.whole import demo_sheets
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.fit.stand.standing import blocked
from scout.calc.power.assign import PlugPoint, Supply, assign
from scout.records import RoomSheet
from scout.records.plan import PlannedLight, StagePlan

PLACES = 300  # of the thousands that a search tries, for the floor


def rows() -> Iterator[Row]:
    """The figures, each as soon as it is known."""
    sheets = [sheet for sheet in demo_sheets() if sheet.marks is not None]
    for sheet in (
        sheets
    ):  # the promise is 300 ms for the plan; all that fit says of a room is held to it too
        yield within(
            f"three-point plan of {sheet.room.name}: three lights together, bounce, boom and shadows",
            three_point_plan(sheet),
            0.3,
            times=3,
        )
        yield within(
            f"full fit of {sheet.room.name}: framings, three lights together, shadows, background",
            partial(fit, sheet),
            0.3,
            times=3,
        )
    crowded = max(sheets, key=lambda sheet: len(sheet.room.corners_m or ()))
    drawn = hand_drawn(crowded)
    yield within(
        "figures of a plan drawn by hand, as a finger drags a light",
        lambda: plan_figures(drawn),
        0.1,
    )
    together, one_by_one = searches(crowded)
    yield at_least(
        f"a place for the key judged with all the others at once ({PLACES} of them)",
        together,
        "the same places judged one call each",
        one_by_one,
        20.0,
    )
    yield within("20 loads of four kinds over 8 circuits, proven", twenty_loads, 0.2)
    yield within(
        "five draws of 20 loads of 20 different wattages over 8 circuits, each proven",
        lambda: five_draws(mixed=False),
        5 * 0.2,
    )
    yield within("the same over 8 circuits of 7 sizes", lambda: five_draws(mixed=True), 5 * 0.2)
    yield at_least(
        "one such draw, against an integer programme of the textbook form stopped after 5 s",
        lambda: twenty_loads(different=True, seed=1),
        "HiGHS: least greatest share over lights and circuits, 5 s at most",
        textbook_plan,
        10.0,
        times=1,
    )
    yield within("a kit of seven lights over 3 circuits, proven", seven_loads, 0.2)


def three_point_plan(sheet: RoomSheet) -> Callable[[], object]:
    """The plan alone, without framings, views, walk and background."""
    floor = ground(sheet.room)
    stage = stage_of(sheet, floor)
    assert isinstance(stage, Stage)
    assert sheet.kit is not None
    part = roles(tuple(sheet.kit.lights or ()), stage.subject_m, stage.camera_m)
    assert part.key is not None
    judged_mm = tuple(view.focal_length_mm for view in stage.views)
    return partial(plan_rows, sheet, stage, floor, part, part.key, 4.0, 125.0, judged_mm)


def searches(sheet: RoomSheet) -> tuple[Callable[[], object], Callable[[], object]]:
    """Every reason against some places for a light, asked for all of them together, and for one
    after the other.
    """
    stage = stage_of(sheet, ground(sheet.room))
    assert isinstance(stage, Stage)
    lamp = Lamp(1.1, 2.6, 0.35, 0.9)
    low, high = stage.space.plan_m.min(axis=0), stage.space.plan_m.max(axis=0)
    places = np.column_stack(
        [np.random.default_rng(1).uniform(low, high, (PLACES, 2)), np.full(PLACES, 2.0)]
    )
    view = stage.views[0] if stage.views else None
    return lambda: blocked(stage, lamp, places, view), lambda: [
        blocked(stage, lamp, place, view) for place in places
    ]


def hand_drawn(sheet: RoomSheet) -> RoomSheet:
    """The sheet with its lights pinned where the worked-out plan puts them, as the page of the plan
    sends them.
    """
    placed = placements(sheet, fit(sheet))
    return with_plan(
        sheet,
        StagePlan(
            lights=tuple(PlannedLight(id=name, at_m=place.at_m) for name, place in placed.items())
        ),
    )


def _circuits(mixed: bool) -> tuple[Supply, ...]:
    return tuple(
        Supply(breaker * 230.0 * 0.8, 0.0)
        for breaker in ((10.0, 13.0, 16.0, 16.0, 20.0, 25.0, 32.0, 40.0) if mixed else (16.0,) * 8)
    )


def five_draws(*, mixed: bool) -> object:
    """Five plans, so that no lucky draw stands for all."""
    draws = range(5)
    return [twenty_loads(different=True, mixed=mixed, seed=seed, proven=False) for seed in draws]


def twenty_loads(
    *, different: bool = False, mixed: bool = False, seed: int = 0, proven: bool = True
) -> object:
    """Twenty lights over eight circuits of two outlets, the leads as long as they are on a straight
    wall. proven: refuse a plan that is not
    """
    random = np.random.default_rng(seed)
    loads = (
        random.uniform(60.0, 1200.0, 20)
        if different
        else random.choice([60.0, 150.0, 300.0, 650.0], 20)
    )
    outlets = tuple(
        PlugPoint(circuit, 3 if different else 2) for circuit in range(8) for _ in range(2)
    )
    metres = (
        np.abs(random.uniform(0.0, 20.0, 20)[:, None] - np.linspace(0.0, 20.0, 16)[None, :]) + 1.5
    )
    plan = assign(loads, _circuits(mixed), outlets, metres)
    if proven and not plan.proven:
        raise RuntimeError("the plan is not proven")
    return plan


def seven_loads() -> object:
    """A small kit: two panels, two lamps, a practical's bulb and two chargers."""
    loads = np.array([300 / 0.95, 300 / 0.95, 650.0, 150 / 0.9, 60 / 0.6, 100 / 0.6, 65 / 0.6])
    outlets = tuple(PlugPoint(circuit, 2) for circuit in (0, 0, 1, 1, 2))
    return assign(
        loads,
        tuple(Supply(16.0 * 230.0 * 0.8, other) for other in (150.0, 0.0, 0.0)),
        outlets,
        np.add.outer(np.arange(7.0), np.arange(5.0)) + 2.0,
    )


def textbook_plan() -> object:
    """What a general solver makes of the second aim alone, written down plainly: z is least with
    every circuit's share at most z.
    """
    loads, circuits = np.random.default_rng(1).uniform(60.0, 1200.0, 20), _circuits(mixed=False)
    n, m = len(loads), len(circuits)
    each = np.hstack([np.kron(np.eye(n), np.ones((1, m))), np.zeros((n, 1))])
    full = np.hstack(
        [
            np.kron(loads, np.eye(m)) / np.array([[one.limit_va] for one in circuits]),
            -np.ones((m, 1)),
        ]
    )
    return milp(
        np.r_[np.zeros(n * m), 1.0],
        integrality=np.r_[np.ones(n * m), 0.0],
        bounds=Bounds(0, 1),
        options={"time_limit": 5.0},
        constraints=[
            LinearConstraint(csr_array(each), 1, 1),
            LinearConstraint(csr_array(full), -np.inf, 0),
        ],
    )
