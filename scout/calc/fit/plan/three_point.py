"""The whole three-point plan: both sides tried, each light kept clear of the others, the ratio met
by distance and dimming.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scout.calc.fit.plan.joint import (
    KEEP,
    Player,
    Trio,
    best_of,
    head_radius_m,
    in_beam,
    overlapping,
    refined,
    total,
)
from scout.calc.fit.plan.planned import (
    NOTHING_BESIDES,
    BesidesOf,
    Placed,
    PlanLamp,
    ThreePoint,
    lux_at,
)
from scout.calc.fit.plan.search import (
    Goal,
    NoSpot,
    Pool,
    Spot,
    back_goal,
    fill_distance_m,
    fill_goal,
    find_among,
    free_places,
    judge_spot,
    key_goal,
    pool_among,
    spot_at,
)
from scout.calc.fit.stand.lights import Stage
from scout.calc.fit.stand.standing import Asked
from scout.calc.geometry import FloatArray, require

SIDE_WORTH_DEG = 12.0  # the preferred side is kept at the price of so many degrees off the ideal


def three_point(
    stage: Stage,
    key: PlanLamp,
    fill: PlanLamp | None,
    back: PlanLamp | None,
    ratio: float,
    prefer_side: int | None = None,
    *,
    leads_m: tuple[float, ...] | None = None,
    besides: BesidesOf = NOTHING_BESIDES,
) -> ThreePoint:
    """The best three-point plan the room allows.

    stage:       floor, ceiling, marks, lenses and what already stands
    ratio:       key : fill, each light's own contribution, 1 or more
    prefer_side: +1 or -1, the key's side unless the other gives up much less; None: no side is
        preferred
    leads_m:     the kit's mains leads; None: not recorded
    Returns:     the plan of the better side: more lights that fit, then less given up
    Raises:      OutOfRange, naming the argument
    Source:      all combinations of the best places of each (joint.py), never worse than each
        light placed after the other; a light without a place as a column, again by its shape
    Limits:      of each light 30 places, the best of each 30 cm of floor, and then finer round
        the choice
    """
    require("ratio", ratio, least=1)
    for lamp in (key, fill, back):
        if lamp is not None and lamp.pinned_m is not None:
            stage = stage.with_stand(lamp.pinned_m, lamp.lamp.radius_m)
    sides: tuple[int, ...] = (1, -1)
    if key.pinned_m is not None:
        sides = (1 if float(stage.across_deg(key.pinned_m)) >= 0 else -1,)
    elif fill is not None and fill.pinned_m is not None:
        sides = (-1 if float(stage.across_deg(fill.pinned_m)) >= 0 else 1,)
    columns = Cast(stage, key, fill, back, ratio, leads_m, besides)
    best = _best(columns, sides, prefer_side)
    if any(best.lacking) and not stage.by_shape:
        # Columns are quick and keep off everything; legs, pole and head may still find a place.
        by_shape = Cast(stage, key, fill, back, ratio, leads_m, besides, best.lacking, columns)
        again = _best(by_shape, sides, prefer_side)
        if sum(again.lacking) < sum(best.lacking):
            best = replace(again, by_shape=True)
    return _told_of_beams(stage, best, (key, fill, back))


def _best(cast: Cast, sides: tuple[int, ...], prefer_side: int | None) -> ThreePoint:
    """The better of light after light on either side and of all together."""
    plans = [
        plan
        for plan in (
            *(cast.one_by_one(side)[0] for side in sides),
            cast.together(sides, prefer_side),
        )
        if plan is not None
    ]
    ranks = [(sum(plan.lacking), plan.astray) for plan in plans]
    able = [plan for plan, rank in zip(plans, ranks, strict=True) if rank == min(ranks)]
    best = min(able, key=lambda plan: given_up(cast, plan, prefer_side)) if able[1:] else able[0]
    alone = cast.one_by_one(best.side)[0].key.spot
    return replace(best, key_alone=alone if isinstance(alone, Spot) else None)


def _told_of_beams(
    stage: Stage, plan: ThreePoint, lamps: tuple[PlanLamp | None, PlanLamp | None, PlanLamp | None]
) -> ThreePoint:
    """The plan with a light that another's head hides from the face no longer said to fit."""
    parts = [plan.key, plan.fill, plan.back]
    for i, (mine, lamp) in enumerate(zip((plan.key, plan.fill, plan.back), lamps, strict=True)):
        if mine is None or lamp is None or isinstance(mine.spot, NoSpot):
            continue
        for other, head in zip((plan.key, plan.fill, plan.back), lamps, strict=True):
            if other is None or other is mine or head is None or isinstance(other.spot, NoSpot):
                continue
            if bool(
                in_beam(
                    np.array([other.spot.at_m]),
                    head_radius_m(head.lamp),
                    np.array([mine.spot.at_m]),
                    stage.subject_m,
                )[0, 0]
            ):
                parts[i] = replace(
                    mine, spot=replace(mine.spot, fits=False), reasons=(*mine.reasons, "beam")
                )
    assert parts[0] is not None
    return replace(plan, key=parts[0], fill=parts[1], back=parts[2])


def given_up(
    cast: Cast, plan: ThreePoint, prefer_side: int | None = None
) -> tuple[int, int, float]:
    """Lights that lack or do not fit, of those the ones astray, then what the whole plan costs in
    squared degrees.
    """
    worth = SIDE_WORTH_DEG**2 if plan.side == prefer_side else 0.0
    # Rounded, so that two sides of a symmetric room count as equal and the first wins.
    return sum(plan.lacking), plan.astray, round(cast.cost(plan) - worth, 3)


class Cast:
    """The lights of one plan and what is known of the floor for each of them, looked up once."""

    def __init__(
        self,
        stage: Stage,
        key: PlanLamp,
        fill: PlanLamp | None,
        back: PlanLamp | None,
        ratio: float,
        leads_m: tuple[float, ...] | None,
        besides: BesidesOf,
        by_shape: tuple[int, int, int] = (0, 0, 0),
        columns: Cast | None = None,
    ) -> None:
        self.by_shape = by_shape
        self.stage, self.key, self.fill, self.back, self.ratio = stage, key, fill, back, ratio
        self.key_goal = key_goal(stage, key.lamp)
        self.fill_goal = None if fill is None else self._fill_goal_of(None)
        self.back_goal = None if back is None else back_goal(stage, back.lamp)
        # Of key, fill and back in turn, each its own; of a column those that were found before.
        self.free: list[Asked | NoSpot] = [
            columns.free[part]
            if columns is not None and not by_shape[part]
            else free_places(self._as(stage, part), lamp.lamp, goal)
            if lamp is not None and goal is not None and lamp.pinned_m is None
            else NoSpot("floor")
            for part, (lamp, goal) in enumerate(
                ((key, self.key_goal), (fill, self.fill_goal), (back, self.back_goal))
            )
        ]
        self.leads_m, self.besides = leads_m, besides
        self.alone: dict[int, tuple[ThreePoint, Trio]] = {}

    def _as(self, stage: Stage, part: int) -> Stage:
        """The stage as one of the three is asked for on it."""
        return replace(stage, by_shape=bool(self.by_shape[part]))

    def _brighter(self) -> float:
        """Intensity of the fill over the key's, 1 when either is not known."""
        key = _towards_face_cd(self.key)
        fill = None if self.fill is None else _towards_face_cd(self.fill)
        return fill / key if key and fill else 1.0

    def trio(self, placed_key: Placed) -> Trio:
        """The three as the choice sees them, the fill as far off as a key alone in its best place
        asks for.
        """
        key, fill, back = self.key, self.fill, self.back
        return Trio(
            Player(key.lamp, self.key_goal, self.besides.key, key.pinned_m),
            None
            if fill is None
            else Player(fill.lamp, self._fill_goal_of(placed_key), None, fill.pinned_m),
            None
            if back is None or self.back_goal is None
            else Player(back.lamp, self.back_goal, self.besides.back, back.pinned_m),
            self.leads_m,
        )

    def cost(self, plan: ThreePoint) -> float:
        """What the places of a plan give up, together; a light without a place costs nothing here."""
        spots = [
            None if placed is None or isinstance(placed.spot, NoSpot) else placed.spot
            for placed in (plan.key, plan.fill, plan.back)
        ]
        trio = self.one_by_one(plan.side)[1]
        trio = replace(
            trio,
            **{
                name: None
                for name, spot in zip(("key", "fill", "back"), spots, strict=True)
                if spot is None
            },
        )
        places = [
            np.asarray(self.stage.subject_m if spot is None else spot.at_m)[None, :]
            for spot in spots
        ]
        return float(total(self.stage, trio, places)[0, 0, 0])

    def one_by_one(self, side: int) -> tuple[ThreePoint, Trio]:
        """Key, then fill, then back, each the nearest to its ideal given those before it; and the
        three as the choice then sees them.
        """
        if side not in self.alone:
            self.alone[side] = self._one_by_one(side)
        return self.alone[side]

    def _one_by_one(self, side: int) -> tuple[ThreePoint, Trio]:
        stage, placed_key = self._place(self.stage, 0, self.key, self.key_goal, (side,))
        placed_fill: Placed | None = None
        if self.fill is not None:
            stage, placed_fill = self._place(
                stage, 1, self.fill, self._fill_goal_of(placed_key), (-side,)
            )
        placed_back: Placed | None = None
        if self.back is not None and self.back_goal is not None:
            # The far side from the key first: it separates the shadow side from the background.
            stage, placed_back = self._place(stage, 2, self.back, self.back_goal, (-side, side))
        return self._dimmed(side, placed_key, placed_fill, placed_back), self.trio(placed_key)

    def together(self, sides: tuple[int, ...], prefer_side: int | None = None) -> ThreePoint | None:
        """All three chosen at once, on the side whose best combination lacks and gives up least;
        None when no side has one.
        """
        found: list[
            tuple[tuple[int, int, float], int, Trio, list[Pool | None], list[FloatArray]]
        ] = []
        for side in sides:
            trio = self.one_by_one(side)[1]
            pools = self._pools(side, trio)
            if pools is None:
                continue
            chosen, cost = best_of(self.stage, trio, pools)
            missing = sum(pool is not None and not (pool.near and pool.lens == 0) for pool in pools)
            astray = sum(pool is not None and not pool.near for pool in pools)
            found.append(
                (
                    (
                        missing,
                        astray,
                        round(cost - (SIDE_WORTH_DEG**2 if side == prefer_side else 0.0), 3),
                    ),
                    side,
                    trio,
                    pools,
                    chosen,
                )
            )
        if not found:
            return None
        _, side, trio, pools, chosen = min(found, key=lambda one: one[0])
        return self._built(side, pools, refined(self.stage, trio, pools, chosen), trio)

    def _pools(self, side: int, trio: Trio) -> list[Pool | None] | None:
        """The places to choose from for each light the kit has; None when one of them has none."""
        pools: list[Pool | None] = []
        ways = ((side,), (-side,), (-side, side))
        for part, (player, lamp) in enumerate(
            zip(trio.players, (self.key, self.fill, self.back), strict=True)
        ):
            if player is None or lamp is None:
                pools.append(None)
                continue
            pool = self._pool(part, player, lamp, ways[part])
            if pool is None:
                return None
            pools.append(pool)
        return pools

    def _built(
        self, side: int, pools: list[Pool | None], chosen: list[FloatArray], trio: Trio
    ) -> ThreePoint | None:
        ways = ((side,), (-side,), (-side, side))
        if overlapping(trio, chosen):
            # no combination leaves each its floor; light by light somebody is left out instead
            return None
        lamps = (self.key, self.fill, self.back)
        placed: list[Placed | None] = []
        for axis, (lamp, pool) in enumerate(zip(lamps, pools, strict=True)):
            if lamp is None or pool is None:
                placed.append(None)
                continue
            stage = self.stage
            for other, place in enumerate(chosen):
                other_lamp = lamps[other]
                if other != axis and other_lamp is not None and other_lamp.pinned_m is None:
                    stage = stage.with_stand(place, other_lamp.lamp.radius_m)
            goal = (
                self.key_goal,
                self._fill_goal_of(placed[0]) if axis == 1 else None,
                self.back_goal,
            )[axis]
            assert goal is not None
            if lamp.pinned_m is not None:
                placed.append(self._place(stage, axis, lamp, goal, ())[1])
                continue
            spot = spot_at(stage, lamp.lamp, goal, chosen[axis], pool.lens, ways[axis])
            placed.append(Placed(spot, lux_at(spot, lamp)))
        assert placed[0] is not None
        return self._dimmed(side, placed[0], placed[1], placed[2])

    def _pool(
        self, part: int, player: Player, lamp: PlanLamp, sides: tuple[int, ...]
    ) -> Pool | None:
        if lamp.pinned_m is not None:
            return Pool(
                np.asarray(lamp.pinned_m, dtype=np.float64)[None, :], np.zeros(1), 0, None, True
            )
        free, stage = self.free[part], self._as(self.stage, part)
        if isinstance(free, NoSpot):
            return None
        found = pool_among(stage, lamp.lamp, player.goal, free, sides, KEEP)
        return None if isinstance(found, NoSpot) else found

    def _fill_goal_of(self, placed_key: Placed | None) -> Goal:
        at_m = (
            placed_key.spot.distance_m
            if placed_key is not None and isinstance(placed_key.spot, Spot)
            else 2.0
        )
        return fill_goal(self.stage, fill_distance_m(at_m, self.ratio, self._brighter()))

    def _place(
        self, stage: Stage, part: int, lamp: PlanLamp, goal: Goal, sides: tuple[int, ...]
    ) -> tuple[Stage, Placed]:
        if lamp.pinned_m is not None:
            x, y, _ = lamp.pinned_m
            others = tuple(
                stand for stand in stage.stood if stand != (float(x), float(y), lamp.lamp.radius_m)
            )
            spot, reasons = judge_spot(replace(stage, stood=others), lamp.lamp, goal, lamp.pinned_m)
            return stage, Placed(spot, lux_at(spot, lamp), reasons=reasons)
        free = self.free[part]
        found = (
            free
            if isinstance(free, NoSpot)
            else find_among(self._as(stage, part), lamp.lamp, goal, free, sides)
        )
        if isinstance(found, Spot):
            stage = stage.with_stand(found.at_m, lamp.lamp.radius_m)
        return stage, Placed(found, lux_at(found, lamp))

    def _dimmed(
        self, side: int, key: Placed, fill: Placed | None, back: Placed | None
    ) -> ThreePoint:
        wanted = key.lux / self.ratio if key.lux is not None else None
        return ThreePoint(
            side,
            key,
            None if fill is None else _dimmed(fill, wanted),
            None if back is None else _dimmed(back, wanted),
        )


def _towards_face_cd(lamp: PlanLamp) -> float | None:
    towards = (lamp.intensity_cd or 0.0) * lamp.share
    return towards if towards > 0 else None


def _dimmed(placed: Placed, wanted_lux: float | None) -> Placed:
    if placed.lux is None or wanted_lux is None or placed.lux <= 0 or wanted_lux <= 0:
        return replace(placed, wanted_lux=wanted_lux)
    over = float(np.log2(placed.lux / wanted_lux))
    return replace(
        placed, wanted_lux=wanted_lux, dim_stops=max(over, 0.0), short_stops=max(-over, 0.0)
    )
