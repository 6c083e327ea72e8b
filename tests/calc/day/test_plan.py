"""Day plans against every plan there is, and what must hold of each.

Expected answers: `property:` and every plan enumerated, which needs no trust in the solver.
"""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.day.problem import (
    WEIGHTS,
    Clause,
    Lock,
    Need,
    Option,
    Placed,
    Problem,
    Rules,
    Scene,
    closed,
    meals_of,
    outside_min,
    starts_of,
    worth,
)
from scout.calc.day.solve import Answer, clash_of, plan
from scout.errors import OutOfRange

DAY = 1440
OPEN = Need("open", ((480, 1200),), whole=True)


def scene(key: str, length: int, *needs: Need, room: int = 0, day: int = 0) -> Scene:
    begin = day * DAY
    return Scene(key, length, (Option(room, day, needs, begin + 480, begin + 1200),))


def problem(*scenes: Scene, rooms: int = 3, days: int = 1, **rules: int) -> Problem:
    ways = tuple(tuple(0 if a == b else 30 for b in range(rooms)) for a in range(rooms))
    return Problem(scenes, ways, tuple(480 + DAY * k for k in range(days)), Rules(**rules))


def drawn(seed: int, count: int, days: int = 1, hours: int = 330) -> Problem:
    """Scenes with hours, light that is preferred and rooms apart, half-hours only."""
    chance = random.Random(seed)
    scenes = []
    for k in range(count):
        room, options = chance.randrange(3), []
        for day in range(days):
            begin = DAY * day + 480 + 30 * chance.randrange(12)
            light = DAY * day + 480 + 30 * chance.randrange(16)
            needs = (
                Need("hours", ((begin, begin + hours),)),
                Need("light", ((light, light + 120),), required=False, per_min=1),
            )
            options.append(Option(room, day, needs, begin, begin + hours))
        scenes.append(Scene(f"s{k}", 30 * chance.randint(1, 2), tuple(options), 30, 0))
    ways = closed(((0, 30, 60), (30, 0, 30), (60, 30, 0)))
    starts = tuple(480 + DAY * day for day in range(days))
    rules = Rules(crew_min=660, rest_min=600, meal_min=60, meal_within_min=360, step_min=30)
    return Problem(tuple(scenes), ways, starts, rules)


def cheapest(given: Problem, below: int = 10**9) -> int | None:
    """The cost of the best plan below some cost, by trying every order and every start. A branch is
    left only where it breaks something, or where the work that is left costs too much already.
    """
    weights, rules = given.weights, given.rules
    starts: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for k, scene in enumerate(given.scenes):
        for o, option in enumerate(scene.options):
            tried = starts_of(given, scene, option)
            free, price = np.ones(len(tried), dtype=bool), np.zeros(len(tried), dtype=int)
            for need in option.needs:
                out = outside_min(scene, need, tried)
                if need.required:
                    free &= out == 0
                else:
                    price += weights.outside * need.per_min * out
            if scene.lock is not None:
                free &= (tried == scene.lock.start) & (scene.lock.option == o)
            starts[k, o] = list(zip(tried[free].tolist(), price[free].tolist(), strict=True))
    blocks = [one.set_up_min + one.length_min + one.strike_min for one in given.scenes]
    best = below

    def deeper(placed: tuple[Placed, ...], left: frozenset[int], done: int, first: int) -> None:
        """done: the cost of what stands; first: when the day's work began."""
        nonlocal best
        if not left:
            if done < best and not worth(given, placed).breaches:
                best = done
            return
        if done + (weights.span + weights.wrap) * sum(blocks[k] for k in left) >= best:
            return
        before = placed[-1] if placed else None
        for k in left:
            scene = given.scenes[k]
            for o, option in enumerate(scene.options):
                for start, price in starts[k, o]:
                    begin, end = scene.block(start)
                    cost, since = done + price, first
                    then = given.scenes[before.scene] if before else None
                    old = then.options[before.option] if then and before else None
                    if before is None or then is None or old is None or old.day < option.day:
                        if then and before and begin < then.block(before.start)[1] + rules.rest_min:
                            continue
                        since = begin
                        cost += weights.span * (end - begin)
                        cost += weights.wrap * max(0, end - given.days[option.day])
                    else:
                        way, free = (
                            given.move_min[old.room][option.room],
                            then.block(before.start)[1],
                        )
                        if old.day > option.day or begin < free + way:
                            continue
                        if end - since > rules.crew_min:
                            continue
                        cost += (weights.span + weights.wrap) * (end - free)
                        cost += weights.move * way + weights.change * (old.room != option.room)
                    if cost < best:
                        deeper((*placed, Placed(k, o, start)), left - {k}, cost, since)

    deeper((), frozenset(range(len(given.scenes))), 0, 0)
    return best if best < below else None


@pytest.mark.parametrize(
    ("seed", "count", "days"),
    [(1, 2, 1), (2, 3, 1), (3, 4, 1), (4, 4, 2), (5, 5, 1), (6, 6, 1), (7, 7, 1)],
)
def test_no_plan_of_all_there_are_is_better(seed: int, count: int, days: int) -> None:
    given = drawn(seed, count, days, hours=330 if count < 6 else 180)
    answer = plan(given, limit=20.0)
    if answer.cost is None:
        assert cheapest(given) is None
        return
    assert answer.optimal
    assert worth(given, answer.placed).breaches == ()
    assert worth(given, answer.placed).cost == answer.cost
    assert cheapest(given, below=answer.cost + 1) == answer.cost


@pytest.mark.parametrize("aim", WEIGHTS)
def test_each_aim_is_reached(aim: str) -> None:
    given = replace(drawn(11, 4), weights=WEIGHTS[aim])
    cost = plan(given, limit=20.0).cost
    assert cost is not None
    assert cost == cheapest(given, below=cost + 1)


@pytest.mark.parametrize(
    ("seed", "called"), [(6, None), (14, 330), (16, None), (43, 390), (51, 780)]
)
def test_meals_count_from_the_call(seed: int, called: int | None) -> None:
    # property: by carrying in and calls that somebody typed, the solver and every order tried agree
    chance = random.Random(seed)
    given = drawn(seed, 4, hours=700)
    within = chance.choice([120, 180, 240])
    scenes = tuple(
        replace(
            one,
            options=tuple(
                replace(option, carry_min=chance.choice([0, 30, 60])) for option in one.options
            ),
        )
        for one in given.scenes
    )
    rules = replace(given.rules, meal_within_min=within, meal_min=30)
    given = replace(given, scenes=scenes, rules=rules, called=(called,))
    answer = plan(given)
    assert answer.cost == cheapest(given)
    if answer.placed:
        assert worth(given, answer.placed).breaches == ()


def test_the_same_question_has_the_same_answer() -> None:
    given = drawn(9, 6)
    assert plan(given) == plan(given)


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10_000), st.integers(2, 5), st.integers(1, 2))
def test_nothing_required_is_broken(seed: int, count: int, days: int) -> None:
    # property: a plan keeps every hour, nobody is in two places, and every rule of the crew holds
    given = drawn(seed, count, days)
    answer = plan(given)
    if answer.placed:
        assert worth(given, answer.placed).breaches == ()
        assert sorted(one.scene for one in answer.placed) == list(range(count))
    else:
        assert answer.clash or not answer.sure


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 10_000), st.data())
def test_a_locked_scene_never_moves(seed: int, data: st.DataObject) -> None:
    given = drawn(seed, 4)
    free = plan(given)
    if not free.placed:
        return
    one = data.draw(st.sampled_from(free.placed))
    minute = one.start + data.draw(st.sampled_from([-30, -7, 0, 7, 30]))
    scenes = list(given.scenes)
    scenes[one.scene] = replace(scenes[one.scene], lock=Lock(one.option, minute))
    locked = replace(given, scenes=tuple(scenes))
    answer = plan(locked)
    for placed in answer.placed:
        if placed.scene == one.scene:
            assert placed.start == minute
    if not answer.placed and answer.clash:
        assert {clause.scene for clause in answer.clash} != set()


def _breaks(given: Problem, left: tuple[Clause, ...]) -> bool:
    """Whether some requirements alone cannot all be kept, by trying everything."""
    scenes = []
    for k, one in enumerate(given.scenes):
        options = tuple(
            replace(
                option,
                needs=tuple(need for need in option.needs if Clause(need.kind, k) in left),
            )
            for option in one.options
        )
        lock = one.lock if Clause("lock", k) in left else None
        scenes.append(replace(one, options=options, lock=lock))
    rules = given.rules
    if not any(clause.kind == "crew_hours" for clause in left):
        rules = replace(rules, crew_min=10**5)
    if not any(clause.kind == "meal" for clause in left):
        rules = replace(rules, meal_min=0)
    return cheapest(replace(given, scenes=tuple(scenes), rules=rules)) is None


def test_the_clash_is_one_and_no_part_of_it_can_be_spared() -> None:
    # by hand: two scenes of 2 h, each wanted from 10 to 12:30, cannot both be; the third is
    # nobody's trouble
    both = Need("hours", ((600, 750),))
    given = problem(
        scene("a", 120, both),
        scene("b", 120, both),
        scene("c", 60, Need("hours", ((900, 1100),))),
        step_min=30,
    )
    answer = plan(given)
    assert (answer.placed, answer.sure) == ((), True)
    assert set(answer.clash) == {Clause("hours", 0), Clause("hours", 1)}
    assert _breaks(given, answer.clash)
    for clause in answer.clash:
        assert not _breaks(given, tuple(one for one in answer.clash if one != clause))
    # by hand: b may begin at 09:00 at the earliest it costs least: 12:00, 90 minutes outside
    first = answer.relaxations[0]
    assert first.clauses in ((Clause("hours", 0),), (Clause("hours", 1),))
    (breach,) = first.breaches
    assert (breach.kind, breach.minutes) == ("hours", 90)


def test_what_gives_way_first_is_the_cheapest() -> None:
    # by hand: light and opening clash for one scene; light gives way before the house does
    given = problem(
        scene("a", 60, Need("open", ((480, 720),), whole=True), Need("light", ((800, 1000),))),
        step_min=30,
    )
    answer = plan(given)
    assert set(answer.clash) == {Clause("open", 0), Clause("light", 0)}
    assert answer.relaxations[0].clauses == (Clause("light", 0),)
    assert answer.relaxations[1].clauses == (Clause("open", 0),)


def test_a_scene_longer_than_its_house_is_open() -> None:
    given = problem(scene("a", 300, Need("open", ((540, 780),), whole=True)), step_min=30)
    assert plan(given).clash == (Clause("open", 0),)


def test_too_long_a_day_and_too_short_a_night() -> None:
    # by hand: 08:00 and 19:00 are 12 h apart with an hour's scene at the end
    early, late = Need("hours", ((480, 540),)), Need("hours", ((1140, 1200),))
    day = problem(scene("a", 60, early), scene("b", 60, late), crew_min=600, meal_min=0)
    assert Clause("crew_hours", day=0) in plan(day).clash
    next_day = tuple((a + DAY, b + DAY) for a, b in early.within)
    night = problem(
        scene("a", 60, late),
        scene("b", 60, replace(early, within=next_day), day=1),
        days=2,
        rest_min=721,
    )
    assert Clause("rest", day=1) in plan(night).clash
    rested = replace(night, rules=replace(night.rules, rest_min=720))
    assert plan(rested).optimal


def test_meals() -> None:
    rules = Rules(meal_min=60, meal_within_min=360)
    # by hand: 08:00 to 14:00 needs none; to 15:00 one, at once when work stops
    assert meals_of([(480, 840)], [], rules) == ((), 0)
    assert meals_of([(480, 700), (770, 900)], [], rules) == (((700, 760),), 0)
    # nobody can stop before 14:30
    assert meals_of([(480, 870), (930, 960)], [], rules) == (((870, 930),), 30)
    # within a long scene, three and a half hours before it and after it
    assert meals_of([(480, 960)], [(500, 900)], rules) == (((690, 750),), 0)
    # a second meal of a long day, within six hours of the first
    assert meals_of([(480, 800), (870, 1200), (1260, 1300)], [], rules) == (
        ((800, 860), (1200, 1260)),
        0,
    )


def test_what_a_plan_breaks_is_counted() -> None:
    # by hand: b begins 20 minutes before a is over and the crew has come over (30 minutes)
    given = problem(scene("a", 60, OPEN), scene("b", 60, OPEN, room=1))
    found = worth(given, [Placed(0, 0, 480), Placed(1, 0, 550)])
    assert [(b.kind, b.minutes, b.scene, b.other) for b in found.breaches] == [("order", 20, 0, 1)]
    assert (found.move_min, found.changes, found.spans) == (30, 1, ((480, 610),))
    early = worth(given, [Placed(0, 0, 470)])
    assert [(b.kind, b.minutes) for b in early.breaches] == [("open", 10)]


def test_minutes_outside_a_need() -> None:
    need = Need("light", ((600, 700), (720, 800)))
    one = Scene("a", 60, (), 20, 10)
    # by hand: 650-710 has 10 outside; 680-740 has 20; 790-850 has 50
    assert outside_min(one, need, [600, 650, 680, 790]).tolist() == [0, 10, 20, 50]
    whole = replace(need, whole=True)
    assert outside_min(one, whole, [600]).tolist() == [20]


def test_a_way_is_never_longer_than_by_a_third_room() -> None:
    assert closed(((0, 90, 10), (90, 0, 20), (10, 20, 0))) == (
        (0, 30, 10),
        (30, 0, 20),
        (10, 20, 0),
    )
    with pytest.raises(OutOfRange) as refused:
        Problem((), ((0, 90, 10), (90, 0, 20), (10, 20, 0)), ())
    assert refused.value.path == "move_min"


def test_nothing_to_plan() -> None:
    assert plan(Problem((), (), ())) == Answer(cost=0, gap=0.0)


def test_no_clash_is_named_where_a_plan_is_possible() -> None:
    assert clash_of(problem(scene("a", 60, OPEN))).clash == ()


@pytest.mark.parametrize(
    "rule", ["crew_min", "rest_min", "meal_min", "meal_within_min", "step_min"]
)
def test_rules_that_mean_nothing_are_refused(rule: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        Rules(**{rule: -1})
    assert refused.value.path == rule
