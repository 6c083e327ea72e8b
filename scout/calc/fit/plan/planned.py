"""The shapes of a three-point plan: lights as it needs them, and where it has put them."""

from __future__ import annotations

from dataclasses import dataclass

from scout.calc.fit.plan.joint import Besides
from scout.calc.fit.plan.search import NoSpot, Spot
from scout.calc.fit.stand.lights import Lamp


@dataclass(frozen=True)
class PlanLamp:
    """A light of the kit as the plan needs it. `intensity_cd` None: no photometry. `pinned_m`: it
    stands there already.

    `share` is what its aim leaves of the intensity on the axis towards the subject: 1 when aimed at
    it.
    """

    lamp: Lamp
    intensity_cd: float | None = None
    pinned_m: tuple[float, float, float] | None = None
    share: float = 1.0


@dataclass(frozen=True)
class Placed:
    """One light of the plan. `lux` is its own at the face, undimmed; `dim_stops` brings it to what
    the plan wants of it.
    """

    spot: Spot | NoSpot
    lux: float | None = None
    wanted_lux: float | None = None
    dim_stops: float | None = None  # 0 or more; None when no lux is known
    short_stops: float | None = None  # how far it stays below what the plan wants; 0 when not
    reasons: tuple[str, ...] = ()  # against a pinned place


@dataclass(frozen=True)
class ThreePoint:
    """Key, fill and back; each None when the kit has no light for it. `side`: +1 when the key is
    picture right.
    """

    side: int
    key: Placed
    fill: Placed | None
    back: Placed | None
    key_alone: Spot | None = None  # where the key would stand if nothing but itself mattered
    by_shape: bool = False  # a column would not have stood everywhere: legs, pole and head do

    @property
    def lacking(self) -> tuple[int, int, int]:
        """Of key, fill and back: 1 where it does not fit, 2 where it has no place at all."""
        spots = [None if one is None else one.spot for one in (self.key, self.fill, self.back)]
        key, fill, back = (
            2 if isinstance(spot, NoSpot) else int(spot is not None and not spot.fits)
            for spot in spots
        )
        return key, fill, back

    @property
    def astray(self) -> int:
        """How many have a place that no lens makes near enough to what they are for."""
        placed = (self.key, self.fill, self.back)
        spots = [one.spot for one in placed if one is not None]
        return sum(isinstance(spot, Spot) and not spot.near for spot in spots)


def lux_at(spot: Spot | NoSpot, lamp: PlanLamp) -> float | None:
    """The light's own lux at the face, square to it, by inverse square; None without a place or
    photometry.
    """
    if isinstance(spot, NoSpot) or lamp.intensity_cd is None or spot.distance_m < 1e-6:
        return None
    return float(lamp.intensity_cd * lamp.share / spot.distance_m**2)


@dataclass(frozen=True)
class BesidesOf:
    """What else each place of a light costs, in squared degrees: shadows in shot, a boom's shadow
    on the face. None: nothing.
    """

    key: Besides | None = None
    back: Besides | None = None


NOTHING_BESIDES = BesidesOf()
