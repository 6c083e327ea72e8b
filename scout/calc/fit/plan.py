"""The whole three-point plan: both sides tried, each light kept clear of the others, the ratio met by distance and dimming."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scout.calc.fit.lights import Lamp, Stage
from scout.calc.fit.threepoint import Goal, NoSpot, Spot, back_goal, fill_distance_m, fill_goal, find_spot, judge_spot, key_goal
from scout.calc.geometry import require

SIDE_WORTH_DEG = 12.0  # the preferred side is kept at the price of so many degrees off the ideal


@dataclass(frozen=True)
class PlanLamp:
    """A light of the kit as the plan needs it. `intensity_cd` None: no photometry. `pinned_m`: it stands there already.

    `share` is what its aim leaves of the intensity on the axis towards the subject: 1 when aimed at it.
    """

    lamp: Lamp
    intensity_cd: float | None = None
    pinned_m: tuple[float, float, float] | None = None
    share: float = 1.0


@dataclass(frozen=True)
class Placed:
    """One light of the plan. `lux` is its own at the face, undimmed; `dim_stops` brings it to what the plan wants of it."""

    spot: Spot | NoSpot
    lux: float | None = None
    wanted_lux: float | None = None
    dim_stops: float | None = None  # 0 or more; None when no lux is known
    short_stops: float | None = None  # how far it stays below what the plan wants; 0 when not
    reasons: tuple[str, ...] = ()  # against a pinned place


@dataclass(frozen=True)
class ThreePoint:
    """Key, fill and back; each None when the kit has no light for it. `side`: +1 when the key is picture right."""

    side: int
    key: Placed
    fill: Placed | None
    back: Placed | None


def lux_at(spot: Spot | NoSpot, lamp: PlanLamp) -> float | None:
    """The light's own lux at the face, square to it, by inverse square; None without a place or photometry."""
    if isinstance(spot, NoSpot) or lamp.intensity_cd is None or spot.distance_m < 1e-6:
        return None
    return float(lamp.intensity_cd * lamp.share / spot.distance_m**2)


def three_point(
    stage: Stage, key: PlanLamp, fill: PlanLamp | None, back: PlanLamp | None, ratio: float, prefer_side: int | None = None
) -> ThreePoint:
    """The best three-point plan the room allows.

    stage:       floor, ceiling, marks, lenses and what already stands
    ratio:       key : fill, each light's own contribution, 1 or more
    prefer_side: +1 or -1, the key's side unless the other gives up much less; None: no side is preferred
    Returns:     the plan of the better side: more lights that fit, then less given up
    Raises:      OutOfRange, naming the argument
    Source:      each light is the nearest to its ideal (threepoint.py) given those placed before it: key, fill, back
    Limits:      one light after the other, not all at once: a rarer arrangement may exist where this finds none
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
    plans = [_one_side(stage, key, fill, back, ratio, side) for side in sides]
    return min(plans, key=lambda plan: _given_up(plan, prefer_side))


def _given_up(plan: ThreePoint, prefer_side: int | None) -> tuple[int, float]:
    spots = [placed.spot for placed in (plan.key, plan.fill, plan.back) if placed is not None]
    missing = sum(2 if isinstance(spot, NoSpot) else int(not spot.fits) for spot in spots)
    worth = SIDE_WORTH_DEG**2 if plan.side == prefer_side else 0.0
    # Rounded, so that two sides of a symmetric room count as equal and the first wins.
    return missing, round(sum(spot.cost for spot in spots if isinstance(spot, Spot)) - worth, 3)


def _one_side(stage: Stage, key: PlanLamp, fill: PlanLamp | None, back: PlanLamp | None, ratio: float, side: int) -> ThreePoint:
    stage, placed_key = _place(stage, key, key_goal(stage, key.lamp), (side,))
    key_spot, key_lux = placed_key.spot, placed_key.lux
    placed_fill: Placed | None = None
    fill_wanted = key_lux / ratio if key_lux is not None else None
    if fill is not None:
        key_distance_m = key_spot.distance_m if isinstance(key_spot, Spot) else 2.0
        known = key.intensity_cd is not None and fill.intensity_cd is not None and key.share > 0
        brighter = fill.intensity_cd / (key.intensity_cd * key.share) if known and fill.intensity_cd and key.intensity_cd else 1.0
        stage, placed_fill = _place(stage, fill, fill_goal(stage, fill_distance_m(key_distance_m, ratio, brighter)), (-side,))
        placed_fill = _dimmed(placed_fill, fill_wanted)
    placed_back: Placed | None = None
    if back is not None:
        # The far side from the key first: it separates the shadow side from the background.
        stage, placed_back = _place(stage, back, back_goal(stage, back.lamp), (-side, side))
        placed_back = _dimmed(placed_back, fill_wanted)
    return ThreePoint(side, placed_key, placed_fill, placed_back)


def _place(stage: Stage, lamp: PlanLamp, goal: Goal, sides: tuple[int, ...]) -> tuple[Stage, Placed]:
    if lamp.pinned_m is not None:
        x, y, _ = lamp.pinned_m
        others = tuple(stand for stand in stage.stood if stand != (float(x), float(y), lamp.lamp.radius_m))
        spot, reasons = judge_spot(replace(stage, stood=others), lamp.lamp, goal, lamp.pinned_m)
        return stage, Placed(spot, lux_at(spot, lamp), reasons=reasons)
    found = find_spot(stage, lamp.lamp, goal, sides)
    if isinstance(found, Spot):
        stage = stage.with_stand(found.at_m, lamp.lamp.radius_m)
    return stage, Placed(found, lux_at(found, lamp))


def _dimmed(placed: Placed, wanted_lux: float | None) -> Placed:
    if placed.lux is None or wanted_lux is None or placed.lux <= 0 or wanted_lux <= 0:
        return replace(placed, wanted_lux=wanted_lux)
    over = float(np.log2(placed.lux / wanted_lux))
    return replace(placed, wanted_lux=wanted_lux, dim_stops=max(over, 0.0), short_stops=max(-over, 0.0))
