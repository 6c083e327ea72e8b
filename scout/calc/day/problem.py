"""What a day plan is asked for, and what a given plan comes to. The solver and a hand that moves a
scene are judged by the same functions.

All times are whole minutes of one clock that never jumps (minutes since 1970-01-01T00:00Z), so that
two zones and a night on which the clocks change need no care here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scout.errors import OutOfRange
from scout.values import Figure, said

IntArray = NDArray[np.int64]
Span = tuple[int, int]  # minutes, from and until
NeedKind = Literal["crew", "open", "hours", "quiet", "light", "face", "lens", "dry"]
RuleKind = Literal["crew_hours", "rest", "meal", "lock", "order"]
BreachKind = NeedKind | RuleKind
MOST_SCENES = 60


@dataclass(frozen=True)
class Need:
    """Spells in which a scene must, or should, lie.

    whole:    holds for set-up and strike as well (the house is open, the crew is at work)
    required: a start that breaks it is refused; else each minute outside costs `per_min`
    """

    kind: NeedKind
    within: tuple[Span, ...]
    required: bool = True
    whole: bool = False
    per_min: int = 1


@dataclass(frozen=True)
class Option:
    """One room on one day in which a scene can be shot. room: index into the problem's moves."""

    room: int
    day: int
    needs: tuple[Need, ...]
    earliest: int  # of the first minute of shooting
    latest: int
    carry_min: int = 0  # of carrying in, before the set-up of what is first on its day


@dataclass(frozen=True)
class Lock:
    """A scene that stays where somebody put it."""

    option: int
    start: int


@dataclass(frozen=True)
class Scene:
    """One scene. Its length holds the meal that is taken within it where it is longer than people
    may work without one.
    """

    key: str
    length_min: int
    options: tuple[Option, ...]
    set_up_min: int = 0
    strike_min: int = 0
    lock: Lock | None = None

    def block(self, start: int) -> Span:
        """From the first minute of set-up to the last of strike."""
        return start - self.set_up_min, start + self.length_min + self.strike_min


@dataclass(frozen=True)
class Rules:
    """The crew's limits, in minutes."""

    crew_min: int = 600
    rest_min: int = 600
    meal_min: int = 60
    meal_within_min: int = 360
    step_min: int = 5

    def __post_init__(self) -> None:
        for name in ("crew_min", "rest_min", "meal_min"):
            if getattr(self, name) < 0:
                raise OutOfRange(name, getattr(self, name), said("day.refused.negative"))
        for name in ("step_min", "meal_within_min"):
            if getattr(self, name) < 1:
                raise OutOfRange(name, getattr(self, name), said("day.refused.step"))


@dataclass(frozen=True)
class Weights:
    """What a minute, or a change of rooms, costs. All whole numbers.

    span: of a crew's day from first set-up to last strike; wrap: that the last strike of a day is
    later; late: that a scene starts later (settles ties); move: of moving; change: each change of
    rooms; outside: each minute outside a preferred need, times the need's own weight
    """

    span: int = 4
    wrap: int = 1
    move: int = 6
    change: int = 60
    outside: int = 10


WEIGHTS: Mapping[str, Weights] = {
    "balanced": Weights(),
    "earliest": Weights(span=1, wrap=40, move=1, change=1, outside=1),
    "fewest_moves": Weights(span=1, wrap=1, move=40, change=2000, outside=1),
    "best_light": Weights(span=1, wrap=1, move=1, change=10, outside=200),
}


@dataclass(frozen=True)
class Problem:
    """Scenes, the minutes it takes from one room to another, and the crew's rules.

    days:   of each day the minute its wrap is counted from
    called: of each day the earliest minute somebody typed for a person; None, or left out: nobody
    """

    scenes: tuple[Scene, ...]
    move_min: tuple[tuple[int, ...], ...]
    days: tuple[int, ...]
    rules: Rules = field(default_factory=Rules)
    weights: Weights = field(default_factory=Weights)
    called: tuple[int | None, ...] = ()

    def __post_init__(self) -> None:
        if len(self.scenes) > MOST_SCENES:
            raise OutOfRange(
                "scenes", len(self.scenes), said("day.refused.scenes", most=Figure(MOST_SCENES))
            )
        if closed(self.move_min) != self.move_min:
            raise OutOfRange("move_min", None, said("day.refused.moves"))
        for scene in self.scenes:
            if scene.length_min < 1:
                raise OutOfRange(scene.key, scene.length_min, said("day.refused.length"))

    def typed_call(self, day: int) -> int | None:
        """The earliest minute that somebody typed for a person on a day."""
        return self.called[day] if self.called else None


@dataclass(frozen=True, order=True)
class Placed:
    """A scene put into one of its options. start: the first minute of shooting."""

    scene: int
    option: int
    start: int


@dataclass(frozen=True)
class Breach:
    """Something required that a plan does not keep. scene, other: indices of scenes; day: of a
    crew's limit; minutes: by how much.
    """

    kind: BreachKind
    minutes: int
    scene: int | None = None
    other: int | None = None
    day: int | None = None


@dataclass(frozen=True)
class Clause:
    """One requirement that can be asked to give way: a need or lock of a scene, a limit of a day."""

    kind: BreachKind
    scene: int | None = None
    day: int | None = None


@dataclass(frozen=True)
class Worth:
    """What a plan comes to: breaches of what is required, and the parts of its cost in minutes."""

    breaches: tuple[Breach, ...]
    outside: tuple[tuple[int, NeedKind, int], ...]  # scene, kind, minutes, of what is preferred
    move_min: int
    changes: int
    spans: tuple[Span, ...]  # of the days that are used
    meals: tuple[Span, ...]
    cost: int


def closed(move_min: Sequence[Sequence[int]]) -> tuple[tuple[int, ...], ...]:
    """Moves with every way made as short as going by a third room makes it: between two scenes the
    solver asks only for the way from one to the next.
    """
    ways = np.array(move_min, dtype=np.int64).reshape(len(move_min), len(move_min))
    for via in range(len(ways)):
        ways = np.minimum(ways, ways[:, via, None] + ways[None, via, :])
    return tuple(tuple(int(way) for way in row) for row in ways)


def outside_min(scene: Scene, need: Need, starts: IntArray | Sequence[int]) -> IntArray:
    """Minutes of a scene that lie outside a need, for each of some starts.

    starts: (n,), first minutes of shooting
    Returns: (n,), minutes; 0 where the need is kept
    """
    begin = np.asarray(starts, dtype=np.int64)
    end = begin + scene.length_min
    if need.whole:
        begin, end = begin - scene.set_up_min, end + scene.strike_min
    spans = np.array(need.within, dtype=np.int64).reshape(-1, 2)
    lower = np.maximum(begin[:, None], spans[None, :, 0])
    upper = np.minimum(end[:, None], spans[None, :, 1])
    inside: IntArray = np.maximum(upper - lower, 0).sum(axis=1)
    return (end - begin) - inside


def meals_of(
    blocks: Sequence[Span], pauses: Sequence[Span], rules: Rules, called: int | None = None
) -> tuple[tuple[Span, ...], int]:
    """Meals of one day, and the minutes by which somebody works too long without one.

    As few as the day needs. Each where nobody works anyhow if it can be, the first minute of such a
    spell within a meal's length of the middle of what is left; else in the middle of a long scene.

    blocks: (n,), carrying in, set-up to strike and the move after it, in order of time
    pauses: further spells in which a meal can be taken: the inside of long scenes
    called: when the first person is wanted, where that is before the first block
    """
    if not blocks or not rules.meal_min:
        return (), 0
    at, wrap = blocks[0][0], blocks[-1][1]
    gaps = [(a[1], b[0]) for a, b in pairwise(blocks)]
    if called is not None and called < at:
        if at - called > rules.meal_within_min:  # called for hours of waiting; else for work
            gaps.insert(0, (called, at))
        at = called
    free = [*gaps, *pauses]
    latest, over = _latest_meals(at, wrap, free, rules)
    if over:
        return latest, over
    taken, meal = list[Span](), rules.meal_min
    for left in range(len(latest), 0, -1):
        middle = at + (wrap - at - left * meal) / (left + 1)
        even = rules.step_min * round(middle / rules.step_min)
        found = list[tuple[bool, float, int]]()
        for n, (begin, end) in enumerate(free):
            low = max(begin, at, wrap - left * (meal + rules.meal_within_min))
            high = min(end - meal, at + rules.meal_within_min)
            if low > high:
                continue
            within, near = n >= len(gaps), min(max(even, low), high)
            for start in {near, high} if within else {low, near, high}:
                rest, late = _latest_meals(start + meal, wrap, free, rules)
                if len(rest) < left and not late:
                    far = abs(start - middle)
                    found.append((within, far if within else max(0.0, far - meal), start))
        start = min(found)[-1]
        taken.append((start, start + meal))
        at = start + meal
    return tuple(taken), 0


def _latest_meals(
    at: int, wrap: int, free: Sequence[Span], rules: Rules
) -> tuple[tuple[Span, ...], int]:
    """Meals each as late as it may be, which are the fewest there can be, and what is over."""
    taken, over = list[Span](), 0
    while wrap - at > rules.meal_within_min:
        latest = at + rules.meal_within_min
        starts = [
            min(latest, end - rules.meal_min)
            for begin, end in free
            if end - max(begin, at) >= rules.meal_min and max(begin, at) <= latest
        ]
        start = max((one for one in starts if one >= at), default=None)
        if start is None:
            late = [max(b, at) for b, e in free if e - max(b, at) >= rules.meal_min]
            upto = min(late, default=wrap)
            over += upto - latest
            if not late:
                break
            start = upto
        taken.append((start, start + rules.meal_min))
        at = start + rules.meal_min
    return tuple(taken), over


def worth(problem: Problem, placed: Iterable[Placed]) -> Worth:
    """What some placements come to, whether they keep what is required or not."""
    plan = sorted(placed, key=lambda one: (one.start, one.scene))
    breaches = list[Breach]()
    outside = list[tuple[int, NeedKind, int]]()
    cost = 0
    for one in plan:
        scene, option = _of(problem, one)
        for need in option.needs:
            minutes = int(outside_min(scene, need, [one.start])[0])
            if not minutes:
                continue
            if need.required:
                breaches.append(Breach(need.kind, minutes, one.scene))
            else:
                outside.append((one.scene, need.kind, minutes))
                cost += problem.weights.outside * need.per_min * minutes
        if scene.lock is not None and (scene.lock.option, scene.lock.start) != (
            one.option,
            one.start,
        ):
            breaches.append(Breach("lock", abs(one.start - scene.lock.start), one.scene))
    by_day: dict[int, list[Placed]] = {}
    for one in plan:
        by_day.setdefault(_of(problem, one)[1].day, []).append(one)
    moved = changes = 0
    spans, meals = dict[int, Span](), list[Span]()
    for day, ones in sorted(by_day.items()):
        blocks = list[Span]()
        for one, after in zip(ones, [*ones[1:], None], strict=True):
            scene, option = _of(problem, one)
            begin, end = scene.block(one.start)
            if after is not None:
                then, there = _of(problem, after)
                way = problem.move_min[option.room][there.room]
                moved += way
                changes += option.room != there.room
                short = end + way - then.block(after.start)[0]
                if short > 0:
                    breaches.append(Breach("order", short, one.scene, after.scene, day))
                end += way
            blocks.append((begin, end))
        spans[day] = (min(b for b, _ in blocks), max(e for _, e in blocks))
        over = spans[day][1] - spans[day][0] - problem.rules.crew_min
        if over > 0:
            breaches.append(Breach("crew_hours", over, day=day))
        carry = _of(problem, ones[0])[1].carry_min
        blocks[0] = blocks[0][0] - carry, blocks[0][1]
        called = problem.typed_call(day)
        eaten, late = meals_of(blocks, _pauses(problem, ones), problem.rules, called)
        meals += eaten
        if late > 0:
            breaches.append(Breach("meal", late, day=day))
    for (_, before), (day, after_span) in pairwise(sorted(spans.items())):
        short = before[1] + problem.rules.rest_min - after_span[0]
        if short > 0:
            breaches.append(Breach("rest", short, day=day))
    weights = problem.weights
    cost += weights.move * moved + weights.change * changes
    for day, span in spans.items():
        cost += weights.span * (span[1] - span[0]) + weights.wrap * max(
            0, span[1] - problem.days[day]
        )
    ordered = tuple(spans[day] for day in sorted(spans))
    return Worth(tuple(breaches), tuple(outside), moved, changes, ordered, tuple(meals), cost)


def _of(problem: Problem, one: Placed) -> tuple[Scene, Option]:
    scene = problem.scenes[one.scene]
    return scene, scene.options[one.option]


def is_long(scene: Scene, rules: Rules) -> bool:
    """Whether a meal is taken within a scene, for it holds too much work to go without."""
    carry = max((option.carry_min for option in scene.options), default=0)
    work = carry + scene.set_up_min + scene.length_min + scene.strike_min
    return work > rules.meal_within_min


def _pauses(problem: Problem, ones: Iterable[Placed]) -> list[Span]:
    return [
        (one.start, one.start + problem.scenes[one.scene].length_min)
        for one in ones
        if is_long(problem.scenes[one.scene], problem.rules)
    ]


def starts_of(problem: Problem, scene: Scene, option: Option) -> IntArray:
    """Every start that is tried: the step's multiples, and a lock's own minute."""
    step = problem.rules.step_min
    first = -(-option.earliest // step) * step
    starts = np.arange(first, option.latest + 1, step, dtype=np.int64)
    lock = scene.lock
    if lock is not None and scene.options[lock.option] is option:
        starts = np.union1d(starts, np.array([lock.start], dtype=np.int64))
    return starts


@dataclass(frozen=True)
class Relaxation:
    """Requirements whose giving way makes a plan possible, and what that plan breaks."""

    clauses: tuple[Clause, ...]
    breaches: tuple[Breach, ...]
    placed: tuple[Placed, ...]


@dataclass(frozen=True)
class Answer:
    """A plan, or why there is none.

    gap:   how much better, as a share of its cost, a plan could still be; 0: none is better
    clash: a smallest set of requirements that cannot all be kept
    """

    placed: tuple[Placed, ...] = ()
    cost: int | None = None
    gap: float | None = None
    clash: tuple[Clause, ...] = ()
    relaxations: tuple[Relaxation, ...] = ()
    sure: bool = True  # False: the time ran out before the answer was proved

    @property
    def optimal(self) -> bool:
        """Whether it is proved that no plan is better."""
        return self.gap == 0.0
