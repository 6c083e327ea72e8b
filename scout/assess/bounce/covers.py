"""White over part of a surface: the fewest cloths that bring all lights under their levels, each out
of frame and off doors and windows, and the act that hangs one there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import Act, BounceAnswer, Cover, RemedyAnswer, act
from scout.assess.bounce.case import Case, Cloths, Outcome
from scout.assess.bounce.room import of_surface
from scout.assess.bounce.worst import WORTH
from scout.calc.bounce.cloth import Cloth, best_cloth
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import Patches
from scout.values import Figure, Many

WHITE = 0.85  # a clean white sheet or board (common practice)
# what a small crew hangs, lays on a floor or stretches under a ceiling: a sheet of 2 by 3 m, or two
# side by side, on two surfaces at the most (common practice); nobody covers a room
SHEETS_M = ((2.0, 3.0), (3.0, 4.0))
MOST_CLOTHS = 2


def hung(
    cases: Sequence[Case], patches: Patches, kept_off: NDArray[np.bool_]
) -> Iterator[tuple[Case, RemedyAnswer]]:
    """The rows of all the white that is asked for: one set of cloths for every light, figures with
    all of it up, a row for each cloth without which a light would be worse.

    Light that falls on the face comes first; a bounce may be done without.
    kept_off: (p,) patches that no cloth may lie on, because the scene's lens sees them
    """
    bounces = [case for case in cases if isinstance(case.row, BounceAnswer)]
    falling = [case for case in cases if case not in bounces]
    cloths: Cloths = ()
    for several in (falling, bounces):
        cloths = _enough(several, patches, kept_off, cloths)
    whole = _state(cases, cloths)
    for cloth in cloths:
        rest = _state(cases, tuple(one for one in cloths if one is not cloth))
        for case, then, less in zip(cases, whole.found, rest.found, strict=True):
            if then is None or less is None or _gain(less, then) <= WORTH:
                continue
            row = case.row_of(white(cloth, Many(())), then)
            yield case, replace(row, surface=cloth.surface, cover=cover_of(cloth))


def _gain(before: Outcome, then: Outcome) -> float:
    return before.delta_e - then.delta_e


@dataclass(frozen=True, eq=False)
class _State:
    """What all the cases are with some cloths up; None of a case where no light is left."""

    found: tuple[Outcome | None, ...]
    weights: tuple[int, ...]
    area_m2: float

    @property
    def score(self) -> tuple[int, int, float]:
        """Casts that are problems, casts that are to be mended at all, and how far off those are."""
        over = [
            then.delta_e
            for then, weight in zip(self.found, self.weights, strict=True)
            if then is not None and weight
        ]
        return self.weights.count(2), len(over), sum(over)

    def helps(self, before: _State, cases: Sequence[Case]) -> bool:
        """Whether some light gains what is worth a cloth, and none comes to be worse."""
        gains = any(
            old is not None and new is not None and _gain(old, new) > WORTH and case.cleaner(new)
            for case, old, new in zip(cases, before.found, self.found, strict=True)
        )
        worse = any(new > old for old, new in zip(before.weights, self.weights, strict=True))
        return gains and not worse and self.score < before.score


def _state(cases: Sequence[Case], cloths: Cloths) -> _State:
    return _of(cases, cloths, [case.with_cloths(cloths) for case in cases])


def _roughly(cases: Sequence[Case], rooms: Sequence[Cloths]) -> list[_State]:
    """What all the cases are with each set of cloths up, near enough to tell which does most."""
    found = zip(*(case.roughly(rooms) for case in cases), strict=True)
    return [_of(cases, cloths, each) for cloths, each in zip(rooms, found, strict=True)]


def _of(cases: Sequence[Case], cloths: Cloths, found: Sequence[Outcome | None]) -> _State:
    weights = [
        0 if then is None else case.weight_of(then.risk)
        for case, then in zip(cases, found, strict=True)
    ]
    return _State(tuple(found), tuple(weights), sum(cloth.area_m2 for cloth in cloths))


def _enough(
    cases: Sequence[Case],
    patches: Patches,
    kept_off: NDArray[np.bool_],
    cloths: Cloths,
) -> Cloths:
    """Cloths added one by one, each the smallest that mends all, else the one that does most, as long
    as one helps; then taken away again where the others do without it. All are looked at roughly;
    one that is taken helps by its exact figures too.
    """
    now, had = _state(cases, cloths), cloths
    while len(cloths) < MOST_CLOTHS and any(now.weights):
        blaming = [case for case, weight in zip(cases, now.weights, strict=True) if weight]
        rooms = [
            (*cloths, cloth)
            for cloth in _candidates(blaming, patches, kept_off)
            if cloth.surface not in {one.surface for one in cloths}
        ]
        roughly_now, *tried = _roughly(cases, [cloths, *rooms])
        good = [
            (more, then)
            for more, then in zip(rooms, tried, strict=True)
            if then.helps(roughly_now, cases)
        ]
        exact = ((more, _state(cases, more)) for more, _ in sorted(good, key=_least_that_mends))
        taken = next(((more, then) for more, then in exact if then.helps(now, cases)), None)
        if taken is None:
            break
        cloths, now = taken
    for cloth in cloths[len(had) :]:
        fewer = tuple(one for one in cloths if one is not cloth)
        then = _state(cases, fewer)
        if then.score[:2] <= now.score[:2] and then.score[2] - now.score[2] <= WORTH:
            cloths, now = fewer, then
    return cloths


def _least_that_mends(tried: tuple[Cloths, _State]) -> tuple[float, ...]:
    _, state = tried
    problems, left, over = state.score
    return (problems, left, over, state.area_m2) if left else (0, 0, state.area_m2, over)


def _candidates(
    cases: Sequence[Case], patches: Patches, kept_off: NDArray[np.bool_]
) -> Iterator[Cloth]:
    """Sheets on every surface that is blamed, each where most of its weight in all the cases lies."""
    for surface in dict.fromkeys(case.covered for case in cases if case.covered is not None):
        mine = patches.of(surface)
        weight: FloatArray = np.zeros(len(mine))
        for case in cases:
            if case.covered == surface:
                weight += case.weight / max(float(case.weight[mine].sum()), 1e-12)
        held = np.where(mine, np.maximum(weight, 1e-12), 0.0)
        for sides in SHEETS_M:
            cloth = best_cloth(
                patches, surface, held, sides[0] * sides[1], sides_m=sides, kept_off=kept_off
            )
            if cloth is not None:
                yield cloth


def with_white(patches: Patches, reflectance: FloatArray, cloths: Sequence[Cloth]) -> FloatArray:
    """(p, 71) reflectances with cloths over them."""
    there = reflectance.copy()
    for cloth in cloths:
        there[cloth.over(patches)] = WHITE
    return there


def cover_of(cloth: Cloth) -> Cover:
    """Where a cloth lies."""
    return Cover(cloth.surface, *cloth.along_m, *cloth.across_m)


def white(cloth: Cloth, lights: Many) -> Act:
    """To hang it on a wall, stretch it under a ceiling or lay it on a floor."""
    (start, end), (low, high) = cloth.along_m, cloth.across_m
    # the whole rectangle is brought: what stands on the floor stands on it
    surface, area = of_surface(cloth.surface), Figure((end - start) * (high - low), "m2")
    if cloth.surface not in ("floor", "ceiling"):
        return act(
            "hang.white",
            surface=surface,
            area=area,
            along=Figure((start + end) / 2, "m", start, end),
            height=Figure((low + high) / 2, "m", low, high),
            lights=lights,
        )
    width, depth = Figure(end - start, "m"), Figure(high - low, "m")
    if cloth.surface == "floor":
        return act("lay.white", surface=surface, area=area, width=width, depth=depth, lights=lights)
    return act("stretch.white", surface=surface, area=area, width=width, depth=depth, lights=lights)
