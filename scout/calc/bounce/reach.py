"""The spectrum that reaches a face from the surfaces of a room: one adjoint solution, then any lamp
is a sum.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import islice

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline

from scout.calc.bounce.spectra import NM, observer
from scout.calc.geometry import FloatArray
from scout.calc.held import held
from scout.calc.radiosity import Enclosure, importances, spreads_from_lamp, within_patches_of

# what may be left of the light when bouncing stops: 0.001 % is far under what any colour shows
CLOSED = 1e-5
# spectra that wider steps give back this well, beside what they swallow, need no finer ones
SMOOTH = 1e-3
EVERY, ROUGHLY_EVERY = (
    (3, 2),
    7,
    # places of the 5 nm grid from one worked wavelength to the next; the rough for telling which
    # surface matters
)
AT_ONCE = (
    8  # receivers in one solution, those of all sets of surfaces: more take room, no less time
)
POINTS = 4  # points a side on each patch for the lamp's spot and for the face's view of it
Place = tuple[float, ...]


@dataclass(frozen=True)
class Spot:
    """What a lamp lays on the room's patches, point by point. lux: (p, POINTS squared)"""

    lux: FloatArray
    mean_lux: FloatArray  # (p,)


@dataclass(frozen=True)
class View:
    """What a small plane sees of a room, whatever its surfaces.

    seen:   (p,), configuration factors
    detail: (p, POINTS squared), what the first bounce has to add because a spot is not even
        over a patch
    """

    seen: FloatArray
    detail: FloatArray

    def arriving(self, reflectance: FloatArray, laid: Spot, landing: FloatArray) -> FloatArray:
        """(71,) lux at the plane for a lamp of one unit of each wavelength; reflectance, landing:
        (p, 71), the latter as all_landing.
        """
        return np.asarray(self.seen @ (reflectance * landing) + self.unevenly(laid) @ reflectance)

    def unevenly(self, laid: Spot) -> FloatArray:
        """(p,) what a spot that is not even over a patch adds by way of it, for a reflectance of 1."""
        return np.asarray(np.einsum("pk,pk->p", self.detail, laid.lux))


@dataclass(frozen=True)
class Face:
    """A view in a room of known surfaces, ready for any lamp.

    weight: (p, 71), reading for each lux that lands on a patch, all bounces counted, the spot
        taken as even over the patch
    """

    room: Enclosure
    reflectance: FloatArray  # (p, 71)
    weight: FloatArray
    view: View

    def arriving(self, laid: Spot) -> FloatArray:
        """(71,) what the room makes of each wavelength of a lamp: lux at the face for a spectrum of
        one unit each.
        """
        return self.arriving_of(laid.mean_lux, self.view.unevenly(laid))

    def arriving_of(self, mean_lux: FloatArray, unevenly: FloatArray) -> FloatArray:
        """(..., 71) the same for one spot or several, (..., p) each, with what the view makes of
        their being uneven.
        """
        return np.asarray(mean_lux @ self.weight + unevenly @ self.reflectance)

    def through(self, name: str, landing: FloatArray) -> FloatArray:
        """(71,) how much the reading would grow for each unit of reflectance more on one surface;
        landing: (p, 71), as all_landing.
        """
        mine = self.room.patches.of(name)
        return np.asarray(
            np.sum(
                self.weight[mine] / np.maximum(self.reflectance[mine], 1e-12) * landing[mine],
                axis=0,
            )
        )


def spot(
    room: Enclosure, at_m: ArrayLike, aim_m: ArrayLike, lux_at_1m: float, beam_deg: float
) -> Spot:
    """The spot of one lamp in the room; arguments and Raises as direct_from_lamp."""
    return _spot(room, _place(at_m), _place(aim_m), lux_at_1m, beam_deg)


@held(8)
def _spot(room: Enclosure, at_m: Place, aim_m: Place, lux_at_1m: float, beam_deg: float) -> Spot:
    return spots(room, at_m, [aim_m], lux_at_1m, beam_deg)[0]


def _place(values: ArrayLike) -> Place:
    return tuple(np.asarray(values, dtype=np.float64).tolist())


def spots(
    room: Enclosure, at_m: ArrayLike, aims_m: Sequence[ArrayLike], lux_at_1m: float, beam_deg: float
) -> tuple[Spot, ...]:
    """The spots of one lamp turned to several aims."""
    share = room.patches.points(POINTS)[1]
    return tuple(
        Spot(lux, np.sum(lux * share, axis=1))
        for lux in spreads_from_lamp(room.patches, at_m, aims_m, lux_at_1m, beam_deg, POINTS)
    )


def view(room: Enclosure, point_m: ArrayLike, normal: ArrayLike) -> View:
    """What the small plane at point_m that looks along normal sees of the room."""
    return views(room, point_m, [normal])[0]


def views(room: Enclosure, point_m: ArrayLike, normals: Sequence[ArrayLike]) -> tuple[View, ...]:
    """What small planes at one place that look several ways see of the room."""
    return _views(room, _place(point_m), tuple(_place(normal) for normal in normals))


@held(8)  # a room's lamps, its marks, and what may be done with them ask for the same again
def _views(room: Enclosure, point_m: Place, normals: tuple[Place, ...]) -> tuple[View, ...]:
    share, found = room.patches.points(POINTS)[1], []
    for within in within_patches_of(room.patches, point_m, normals, POINTS):
        seen = within.sum(axis=1)
        found.append(View(seen, within - seen[:, None] * share))
    return tuple(found)


def face(room: Enclosure, reflectance: FloatArray, looks: View, closed: float = CLOSED) -> Face:
    """A view in the room with these surfaces, (p, 71); closed as in `importance`. By reciprocity it
    is what lands of a light that starts where the view looks, and held as that is.
    """
    area = room.patches.area_m2
    landing = all_landing(room, reflectance, looks.seen / area, closed)
    return Face(room, reflectance, landing * area[:, None] * reflectance, looks)


def faces(
    room: Enclosure, reflectance: FloatArray, looks: Sequence[View], closed: float = CLOSED
) -> tuple[Face, ...]:
    """Several views in the room with these surfaces, in one solution."""
    return next(faces_of_each(room, [reflectance], looks, closed))


def faces_of_each(
    room: Enclosure,
    reflectances: Iterable[FloatArray],
    looks: Sequence[View],
    closed: float = CLOSED,
) -> Iterator[tuple[Face, ...]]:
    """The same for the room with one set of surfaces after another."""
    seen = np.stack([look.seen for look in looks], axis=1)
    for reflectance, weights in _carried(room, reflectances, seen, closed):
        yield tuple(
            Face(room, reflectance, weight * reflectance, look)
            for weight, look in zip(weights, looks, strict=True)
        )


def all_landing(
    room: Enclosure, reflectance: FloatArray, direct_lux: FloatArray, closed: float = CLOSED
) -> FloatArray:
    """(p, 71) what lands on each patch in all, by wavelength, for one unit of each: direct and
    every bounce.

    The same equation as `importance`, for light that starts on patches: L = E + F rho L. Held for
    the same numbers, and not to be written into.
    """
    asked = _Asked(room, reflectance, direct_lux, closed)
    return _landing(asked) if closed <= CLOSED else asked.answered()


class _Asked:
    """What a landing is asked for, told apart by its numbers: both sides of a face, remedies and
    pictures ask for the same ones again.
    """

    def __init__(
        self, room: Enclosure, reflectance: FloatArray, direct_lux: FloatArray, closed: float
    ) -> None:
        self.room, self.reflectance, self.direct_lux, self.closed = (
            room,
            reflectance,
            direct_lux,
            closed,
        )

    @cached_property
    def _key(self) -> tuple[int, bytes, bytes, float]:
        return id(self.room), self.reflectance.tobytes(), self.direct_lux.tobytes(), self.closed

    def __hash__(self) -> int:
        return hash(self._key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and self._key == other._key

    def answered(self) -> FloatArray:
        """(p, 71), worked out."""
        return landings(self.room, self.reflectance, [self.direct_lux], self.closed)[0]


@held(8)
def _landing(asked: _Asked) -> FloatArray:
    found = asked.answered()
    found.flags.writeable = False
    return found


def landings(
    room: Enclosure,
    reflectance: FloatArray,
    direct_lux: Sequence[FloatArray],
    closed: float = CLOSED,
) -> tuple[FloatArray, ...]:
    """all_landing for several lamps, in one solution."""
    return next(landings_of_each(room, [reflectance], direct_lux, closed))[1]


def landings_of_each(
    room: Enclosure,
    reflectances: Iterable[FloatArray],
    direct_lux: Sequence[FloatArray],
    closed: float = CLOSED,
) -> Iterator[tuple[FloatArray, tuple[FloatArray, ...]]]:
    """The same for the room with one set of surfaces after another, each with its reflectances."""
    area = room.patches.area_m2[:, None]
    starts = np.stack(direct_lux, axis=1) * area
    for reflectance, carried in _carried(room, reflectances, starts, closed):
        yield reflectance, tuple(found / area for found in carried)


def _carried(
    room: Enclosure, reflectances: Iterable[FloatArray], starts: FloatArray, closed: float
) -> Iterator[tuple[FloatArray, FloatArray]]:
    """Each of the reflectances with its (n, p, 71) `importances` of starts (p, n), worked out at
    every third or second wavelength where a cubic fills in the rest of every surface.
    """
    level = np.maximum(starts.max(axis=0), 1e-300)
    area, even = room.patches.area_m2, starts / level
    asked = iter(reflectances)
    while some := list(islice(asked, max(1, AT_ONCE // starts.shape[1]))):
        steps = [_step(one, closed) for one in some]
        found: dict[int, FloatArray] = {}
        for step in dict.fromkeys(steps):
            which = [k for k, one in enumerate(steps) if one == step]
            worked = np.stack([some[k][:, coarse(step)[0]] for k in which])
            solved = importances(room.factors, area, worked, even, closed, room.symmetric)
            found |= dict(zip(which, solved, strict=True))
        for k, (reflectance, step) in enumerate(zip(some, steps, strict=True)):
            full = (found.pop(k) @ coarse(step)[1].T) * level[:, None, None]
            yield reflectance, np.asarray(full)


def _step(reflectance: FloatArray, closed: float) -> int:
    """How many places of the grid lie from one worked wavelength to the next; 0: greys alone, of
    which one wavelength is all, to the last digit.
    """
    if np.all(reflectance == reflectance[:, :1]):
        return 0
    if closed > CLOSED:
        return ROUGHLY_EVERY
    for every in EVERY:
        places, fill = coarse(every)
        off = np.abs(reflectance[:, places] @ fill.T - reflectance) / (1.0 - reflectance)
        if float(np.max(off)) <= SMOOTH:
            return every
    return 1


@lru_cache(maxsize=8)
def coarse(every: int) -> tuple[NDArray[np.intp], FloatArray]:
    """Some places of the grid, (n,), its ends among them, and the matrix (71, n) that fills in the
    rest by a cubic spline; 0: the first alone, which all are like.
    """
    if every == 0:
        return np.zeros(1, dtype=np.intp), np.ones((len(NM), 1))
    places = np.unique(np.append(np.arange(0, len(NM), every), len(NM) - 1))
    return places, np.asarray(CubicSpline(places, np.eye(len(places)), axis=0)(np.arange(len(NM))))


def lux_of(light: FloatArray, arriving: FloatArray | float) -> FloatArray:
    """(...) lux of a lamp's spectrum (71,), at Y = 1, after the room has taken its share: sum S t
    ybar.
    """
    return np.asarray((light * arriving) @ observer()[:, 1])
