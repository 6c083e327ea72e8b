"""What a given plan comes to, by hand. Minutes of one day from 8:00 (480)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scout.calc.day.problem import (
    MOST_SCENES,
    Breach,
    Lock,
    Need,
    Option,
    Placed,
    Problem,
    Rules,
    Scene,
    Weights,
    closed,
    is_long,
    meals_of,
    outside_min,
    starts_of,
    worth,
)
from scout.errors import OutOfRange

SIX = Rules(meal_min=60, meal_within_min=360)


def scene(length: int = 60, *needs: Need, room: int = 0, day: int = 0, **more: int) -> Scene:
    return Scene("s", length, (Option(room, day, needs, 0, 3_000),), **more)


def test_a_block_runs_from_set_up_to_strike() -> None:
    assert scene(60, set_up_min=30, strike_min=20).block(600) == (570, 680)


@pytest.mark.parametrize(
    ("start", "outside", "whole"),
    [
        # by hand: 540 to 600 within 500 to 620 and 700 to 760; set-up 30 before, strike 20 after
        (540, 0, 0),
        (500, 0, 30),
        (490, 10, 40),
        (560, 0, 20),
        (561, 1, 21),
        (620, 60, 80),
        (680, 20, 50),
        (700, 0, 50),
        (900, 60, 110),
    ],
)
def test_minutes_outside_a_need(start: int, outside: int, whole: int) -> None:
    one = scene(60, set_up_min=30, strike_min=20)
    spans = ((500, 620), (700, 760))
    found = outside_min(one, Need("light", spans), [start, 540])
    assert found.tolist() == [outside, 0]
    assert outside_min(one, Need("open", spans, whole=True), [start]).tolist() == [whole]
    assert outside_min(one, Need("light", ()), [start]).tolist() == [60]


def test_a_way_is_as_short_as_by_a_third_room() -> None:
    assert closed(((0, 50, 10), (50, 0, 15), (10, 20, 0))) == (
        (0, 30, 10),
        (25, 0, 15),
        (10, 20, 0),
    )
    with pytest.raises(OutOfRange) as refusal:
        Problem((scene(),), ((0, 50, 10), (50, 0, 15), (10, 20, 0)), (0,))
    assert refusal.value.path == "move_min"


@pytest.mark.parametrize(
    ("name", "least"),
    [("crew_min", 0), ("rest_min", 0), ("meal_min", 0), ("step_min", 1), ("meal_within_min", 1)],
)
def test_rules_have_their_least(name: str, least: int) -> None:
    assert getattr(Rules(**{name: least}), name) == least
    with pytest.raises(OutOfRange) as refusal:
        Rules(**{name: least - 1})
    assert refusal.value.path == name


def test_a_problem_has_its_borders() -> None:
    many = tuple(scene() for _ in range(MOST_SCENES))
    assert len(Problem(many, ((0,),), (0,)).scenes) == 60
    with pytest.raises(OutOfRange) as refusal:
        Problem((*many, scene()), ((0,),), (0,))
    assert refusal.value.path == "scenes"
    Problem((scene(1),), ((0,),), (0,))
    with pytest.raises(OutOfRange) as refusal:
        Problem((scene(0),), ((0,),), (0,))
    assert refusal.value.path == "s"


@pytest.mark.parametrize(
    ("blocks", "pauses", "meals", "late"),
    [
        # by hand: six hours from 480 end at 840
        ([(480, 840)], [], (), 0),
        ([(480, 841)], [], (), 1),
        ([(480, 900)], [], (), 60),
        # a gap of an hour
        ([(480, 700), (760, 1_000)], [], ((700, 760),), 0),
        ([(480, 700), (759, 1_000)], [], (), 160),
        ([(480, 840), (900, 1_000)], [], ((840, 900),), 0),
        # nobody waits idle for a meal: 460 minutes of work, halved at 710; the gap begins at 700
        ([(480, 700), (900, 1_000)], [], ((700, 760),), 0),
        # a gap that begins hours before the middle, (480 + 1000 - 60) / 2 = 710
        ([(480, 510), (960, 1_000)], [], ((710, 770),), 0),
        # no earlier than leaves six hours to the wrap: 1000 - 360 - 60 = 580
        ([(480, 500), (640, 1_000)], [], ((580, 640),), 0),
        # of two gaps the one that is nearer to the middle, whatever is later
        ([(480, 680), (740, 800), (860, 1_000)], [], ((680, 740),), 0),
        # a gap before the inside of a scene
        ([(480, 600), (660, 1_000)], [(680, 980)], ((600, 660),), 0),
        # a gap that comes too late is taken all the same, and counted
        ([(480, 850), (910, 1_000)], [], ((850, 910),), 10),
        # within a long scene, in the middle of the day
        ([(480, 1_000)], [(500, 980)], ((710, 770),), 0),
        ([(480, 1_000)], [(500, 740)], ((680, 740),), 0),
        ([(480, 1_000)], [(500, 559)], (), 160),
        # two of them share 900 minutes of work: 300 before, between and after
        ([(480, 1_500)], [(500, 1_480)], ((780, 840), (1_140, 1_200)), 0),
        # an early one would want a third: after 600 the wrap, 1320, is 12 hours away
        (
            [(480, 540), (600, 800), (860, 1_200), (1_260, 1_320)],
            [],
            ((800, 860), (1_200, 1_260)),
            0,
        ),
        ([], [], (), 0),
    ],
)
def test_meals(
    blocks: list[tuple[int, int]],
    pauses: list[tuple[int, int]],
    meals: tuple[tuple[int, int], ...],
    late: int,
) -> None:
    assert meals_of(blocks, pauses, SIX) == (meals, late)


@pytest.mark.parametrize(
    ("called", "meals", "late"),
    [
        # by hand: work from 480 to 840 in one; six hours from 480 end at 840
        (480, (), 0),
        (None, (), 0),
        # called a quarter of an hour before: no meal finds room before or within, 15 too long
        (465, (), 15),
        # called two hours before, to work: two hours too long
        (360, (), 120),
        # called seven hours before, which are waiting in the main: who waits eats, as late as
        # it takes, (60 + 840 - 60) / 2 = 420, before the work begins, and is on time after it
        (60, ((420, 480),), 0),
    ],
)
def test_meals_count_from_the_first_who_is_called(
    called: int | None, meals: tuple[tuple[int, int], ...], late: int
) -> None:
    """Common practice: six hours from a person's own call to a meal, and from meal to meal."""
    assert meals_of([(480, 840)], [], SIX, called) == (meals, late)


def test_carrying_in_is_work_before_a_meal() -> None:
    """By hand: 360 minutes from set-up to strike need no meal; 20 of carrying before them do, and
    only the first of a day is carried in.
    """
    one = scene(310, set_up_min=30, strike_min=20)
    carried = replace(one, options=tuple(replace(two, carry_min=20) for two in one.options))
    assert (is_long(one, SIX), is_long(carried, SIX)) == (False, True)
    first, then = (replace(scene(170), options=carried.options) for _ in range(2))
    problem = Problem((first, then), ((0,),), (480,), SIX)
    # 600 - 20 to 940: over six hours by none; 945: by five
    for start, over in ((770, 0), (775, 5)):
        found = worth(problem, [Placed(0, 0, 600), Placed(1, 0, start)])
        assert [one.minutes for one in found.breaches if one.kind == "meal"] == [over] * bool(over)


def test_no_meal_is_asked_where_none_lasts() -> None:
    assert meals_of([(480, 2_000)], [], Rules(meal_min=0)) == ((), 0)


def test_what_a_day_comes_to() -> None:
    """By hand, weights 4 a minute of the day, 1 after its wrap is counted from, 6 moved, 60 a change,
    10 times 2 outside: blocks 510-590 in room 0, 620-700 in room 1, 700-760 there; 25 minutes of way
    from 590 leave 5. The day is 510 to 760: 250 x 4 = 1000; wrap 760 - 480 = 280; moves 25 x 6 = 150;
    one change 60; light from 640 leaves 10 minutes outside: 10 x 2 x 10 = 200. In all 1690.
    """
    light = Need("light", ((640, 700),), required=False, per_min=2)
    scenes = (
        replace(scene(40), set_up_min=30, strike_min=10),
        replace(scene(60, light, room=1), set_up_min=10, strike_min=10),
        scene(60, room=1),
    )
    problem = Problem(scenes, ((0, 25), (35, 0)), (480,), weights=Weights())
    plan = [Placed(2, 0, 700), Placed(0, 0, 540), Placed(1, 0, 630)]
    found = worth(problem, plan)
    assert found.cost == 1_690
    assert (found.move_min, found.changes) == (25, 1)
    assert found.spans == ((510, 760),)
    assert found.outside == ((1, "light", 10),)
    assert (found.breaches, found.meals) == ((), ())
    # ten minutes earlier the third overlaps the second's strike by ten; the day is ten shorter
    found = worth(problem, [plan[1], plan[2], Placed(2, 0, 690)])
    assert found.breaches == (Breach("order", 10, 1, 2, 0),)
    assert found.cost == 1_640
    # the other way round the way back takes 35 minutes of which 5 are there: 30 short
    found = worth(problem, [Placed(1, 0, 540), Placed(0, 0, 645)])
    assert found.breaches == (Breach("order", 30, 1, 0, 0),)
    assert found.move_min == 35


@pytest.mark.parametrize(("crew_min", "over"), [(250, 0), (249, 1)])
def test_a_crew_s_day_has_its_most(crew_min: int, over: int) -> None:
    problem = Problem((scene(250),), ((0,),), (0,), Rules(crew_min=crew_min))
    found = worth(problem, [Placed(0, 0, 600)])
    assert found.breaches == ((Breach("crew_hours", over, day=0),) if over else ())


@pytest.mark.parametrize(("start", "short"), [(1_260, 0), (1_259, 1)])
def test_between_days_there_is_rest(start: int, short: int) -> None:
    """By hand: the first day ends at 660; 600 minutes later is 1260."""
    problem = Problem((scene(), scene(day=1)), ((0,),), (0, 1_440), Rules(rest_min=600))
    found = worth(problem, [Placed(0, 0, 600), Placed(1, 0, start)])
    assert found.breaches == ((Breach("rest", short, day=1),) if short else ())
    # the second day's wrap is counted from its own minute: 0 before it
    assert found.cost == 4 * 120 + 660 + max(0, start + 60 - 1_440)


def test_what_is_required_is_broken_and_costs_nothing() -> None:
    need = Need("quiet", ((600, 640),))
    problem = Problem((scene(60, need),), ((0,),), (480,))
    found = worth(problem, [Placed(0, 0, 590)])
    assert found.breaches == (Breach("quiet", 20, 0),)
    assert found.cost == 4 * 60 + 650 - 480


def test_a_locked_scene_moved_is_a_breach() -> None:
    locked = replace(scene(), lock=Lock(0, 600))
    problem = Problem((locked,), ((0,),), (480,))
    assert worth(problem, [Placed(0, 0, 600)]).breaches == ()
    assert worth(problem, [Placed(0, 0, 585)]).breaches == (Breach("lock", 15, 0),)
    two = replace(locked, options=(*locked.options, *locked.options))
    moved = worth(Problem((two,), ((0,),), (480,)), [Placed(0, 1, 600)])
    assert moved.breaches == (Breach("lock", 0, 0),)


@pytest.mark.parametrize(("length", "long"), [(310, False), (311, True)])
def test_a_scene_is_long_where_it_holds_more_than_may_be_worked(length: int, long: bool) -> None:
    """By hand: 30 and 20 minutes round 310 make six hours."""
    one = scene(length, set_up_min=30, strike_min=20)
    assert is_long(one, SIX) == long
    problem = Problem((one,), ((0,),), (480,), SIX)
    meals = worth(problem, [Placed(0, 0, 510)]).meals
    assert len(meals) == long


@pytest.mark.parametrize(
    ("earliest", "latest", "starts"),
    [(480, 495, [480, 485, 490, 495]), (481, 494, [485, 490]), (483, 484, []), (485, 485, [485])],
)
def test_starts_are_multiples_of_the_step(earliest: int, latest: int, starts: list[int]) -> None:
    option = Option(0, 0, (), earliest, latest)
    one = Scene("s", 60, (option,))
    problem = Problem((one,), ((0,),), (0,))
    assert starts_of(problem, one, option).tolist() == starts


def test_a_lock_keeps_its_own_minute() -> None:
    here, there = Option(0, 0, (), 480, 490), Option(0, 1, (), 480, 490)
    one = Scene("s", 60, (here, there), lock=Lock(1, 487))
    problem = Problem((one,), ((0,),), (0, 0))
    assert starts_of(problem, one, there).tolist() == [480, 485, 487, 490]
    assert starts_of(problem, one, here).tolist() == [480, 485, 490]
    assert starts_of(problem, one, here).dtype == np.int64
