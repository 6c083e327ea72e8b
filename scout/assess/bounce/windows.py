"""Windows as sources of bounced light: the hour's daylight, sky and sun each in its colour, carried
by the same solver to both sides of the subject.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import (
    BlockNote,
    DaylightAnswer,
    Point,
    WindowLightAnswer,
    unmeasured,
)
from scout.assess.bounce.doubt import draws, ranged
from scout.assess.bounce.room import LitRoom, cannot, lit_room
from scout.assess.bounce.start import LEAST_CULPRIT, NO_SUBJECT, ROUGHLY, no_room, with_shift
from scout.assess.daylight.mark.marks import ground_of
from scout.assess.daylight.place.where import facings_of, place_of
from scout.assess.daylight.room.reckoned import Reckoned, reckoned
from scout.calc.bounce.drawn import by_surfaces as through
from scout.calc.bounce.reach import Face, all_landing, face, lux_of, view
from scout.calc.bounce.shift import RISKS, shifts
from scout.calc.bounce.spectra import NM, reflected_share, xyz
from scout.calc.bounce.whiteness import cct_duv, is_white, uv_1960
from scout.calc.bounce.window_light import (
    BLUE_SKY_K,
    OVERCAST_K,
    sky_spectrum,
    sun_cct_k,
    sun_spectrum,
)
from scout.calc.daylight.mark.entering import (
    Entering,
    Sun,
    beam_on,
    clear_on,
    landed_beam,
    overcast_on,
    views_of,
)
from scout.calc.daylight.mark.patch_views import PatchViews, patch_views
from scout.calc.daylight.outside.sky import extraterrestrial_lux
from scout.calc.daylight.sun.position import sun_position
from scout.calc.daylight.window.sky_view import SkyView
from scout.calc.geometry import FloatArray, walls
from scout.calc.held import held
from scout.errors import OutOfRange
from scout.records.sheet import RoomSheet
from scout.values import Figure, Said, said

Sky = Literal["overcast", "clear"]
MOST_HOURS = 5
USEFUL = 0.1  # of the day's best clear light at the mark: hours with less are passed over
LOW_SUN_DEG = 6.0  # nor hours of low sun, which last minutes: ask for one with a time
LEAST_LUX = 0.05
NO_PANES, SUN_DOWN = said("bounce.no_panes"), said("bounce.sun_down")
NO_DAYLIGHT, NONE_HERE = said("bounce.no_daylight"), said("bounce.no_daylight_here")
NO_FACING, NO_PLACE = unmeasured("room.facing"), said("bounce.place_unknown")
COLOURS = said(
    "bounce.daylight_colours", overcast=Figure(OVERCAST_K, "K"), blue=Figure(BLUE_SKY_K, "K")
)
SIDES, OVERCAST = said("bounce.daylight_sides"), said("bounce.overcast_sky")


@dataclass(frozen=True)
class WindowRoom:
    """A room ready for daylight in colour. reflectance: (p, 71) on the patches of `ready`; surface:
    (p,) the surface of `lit` that each belongs to; `clear` says why a clear sky cannot be had, or
    None.
    """

    ready: PatchViews
    reflectance: FloatArray
    surface: NDArray[np.int_]
    lit: LitRoom
    ground: float
    where: dict[str, float] | None
    on: date
    clear: Said | None
    assumed: tuple[Said, ...]

    def sun(self, at: datetime) -> Sun | None:
        """The sun at an instant, None while it is down."""
        if self.where is None:
            return None
        here = sun_position(at, **self.where)
        return (
            Sun(here.azimuth_deg, here.elevation_deg, extraterrestrial_lux(self.on))
            if here.elevation_deg > 0
            else None
        )


@dataclass(frozen=True)
class Side:
    """An upright or other plane at the subject: its view of the outdoors and its face in the room
    of known surfaces.
    """

    at_m: FloatArray  # (1, 3)
    way: FloatArray  # (1, 3)
    views: tuple[SkyView, ...]
    face: Face


@dataclass(frozen=True)
class Came:
    """Daylight on one side: spectra (71,) in lux by wavelength, straight and by the surfaces, the
    sun's lux among the straight.
    """

    straight: FloatArray
    bounced: FloatArray
    sun_lux: float

    @property
    def total(self) -> FloatArray:
        """(71,) all of it."""
        return self.straight + self.bounced


def window_room(sheet: RoomSheet, lit: LitRoom, on: date) -> WindowRoom | Said:
    """The room for daylight in colour, or why there is none."""
    facings, place = facings_of(sheet, on), place_of(sheet.location)
    found = reckoned(sheet, facings)
    if not isinstance(found, Reckoned):
        return found
    if not found.glazing:
        return NO_PANES
    if lit.missing:
        return lit.because()
    try:
        ready = patch_views(
            found.plan_m, found.height_m, found.glazing, found.doors, lit.room.patches.boxes
        )
    except OutOfRange as refusal:
        return cannot("room", refusal)
    wall_of = {glass.id: glass.pane.wall for glass in found.glazing} | {
        door[0]: door[1] for door in found.doors
    }
    names, known = ready.room.patches.names, lit.room.patches.names
    rows = [known.index(name if name in known else names[wall_of.get(name, 0)]) for name in names]
    surface = np.array(rows)[ready.room.patches.surface]
    ground, ground_notes = ground_of(sheet)
    blind = place.unknown or next(
        (facings.unknown or NO_FACING for glass in found.glazing if glass.facing_deg is None),
        None,
    )
    return WindowRoom(
        ready,
        lit.spectra[surface],
        surface,
        lit,
        ground,
        None if place.unknown else place.where,
        on,
        blind,
        (*ground_notes, *place.assumed, *found.assumed, COLOURS),
    )


def side_of(room: WindowRoom, at_m: Point, way: FloatArray) -> Side:
    """A plane at a place that looks along a unit vector."""
    seen = view(room.ready.room, at_m, way)
    here, looks = np.array([at_m], dtype=np.float64), np.asarray(way, dtype=np.float64)[None]
    return Side(
        here,
        looks,
        _outdoors(room.ready, at_m, tuple(looks[0].tolist())),
        face(room.ready.room, room.reflectance, seen),
    )


@held(4)
def _outdoors(ready: PatchViews, at_m: Point, way: tuple[float, ...]) -> tuple[SkyView, ...]:
    return views_of(ready, np.array([at_m], dtype=np.float64), np.array([way]))


def _drawn(
    room: WindowRoom, sides: Sequence[Side], at_hours: Sequence[Hour], drawn: Sequence[FloatArray]
) -> FloatArray:
    """(hours, sides, draws, 71) what comes to each side by way of the surfaces, for each draw of
    what the doubt of their colours allows, (surfaces, 71) of `lit`.
    """
    seen = np.stack([side.face.view.seen for side in sides], axis=1)
    parts = [(k, *part) for k, hour in enumerate(at_hours) for part in hour.parts]
    laid = np.stack([lux for _, _, lux in parts], axis=1)
    lit = room.lit
    found = through(room.ready.room, room.surface, lit.spectra, drawn, seen, laid)
    came = np.zeros((len(at_hours), len(sides), len(drawn), len(NM)))
    for number, (k, spectrum, _) in enumerate(parts):
        came[k] += spectrum * np.swapaxes(found[:, :, number], 0, 1)
    return came


def _parts(entering: Entering, sky: Sky, sun: Sun) -> tuple[tuple[FloatArray, FloatArray], ...]:
    """Spectra (71,) with the lux (k,) that each stands for."""
    blue = sky_spectrum(overcast=sky == "overcast")
    found = [(blue, entering.sky + entering.sky_by_ground)]
    return (
        tuple(found)
        if sky == "overcast"
        else (*found, (sun_spectrum(sun.elevation_deg), entering.sun_by_ground + entering.sun))
    )


@dataclass(frozen=True, eq=False)
class Hour:
    """What comes in at one hour: lux by patch (p,) for each colour."""

    sky: Sky
    sun: Sun
    parts: tuple[tuple[FloatArray, FloatArray], ...]

    @property
    def total(self) -> FloatArray:
        """(p,) lux that falls straight on each patch."""
        return np.asarray(sum(lux for _, lux in self.parts))

    def entering(self, area_m2: FloatArray) -> FloatArray:
        """(71,) spectrum of all that comes in."""
        return np.asarray(sum(spectrum * float(lux @ area_m2) for spectrum, lux in self.parts))


def hour_of(room: WindowRoom, sky: Sky, at: datetime) -> Hour | Said:
    """The daylight that falls on the room's patches at an instant, or why it is not known."""
    if sky == "clear" and room.clear is not None:
        return room.clear
    sun = room.sun(at)
    if sun is None:
        return SUN_DOWN if room.where is not None else room.clear or NO_PLACE
    return _hour(room.ready, room.ground, sky, sun)


@held(8)
def _hour(ready: PatchViews, ground: float, sky: Sky, sun: Sun) -> Hour:
    if sky == "overcast":
        falls = overcast_on(ready.views, ready.glazing, sun, ground)
    else:
        falls = clear_on(ready.views, ready.glazing, sun, ground, landed_beam(ready, sun))
    return Hour(sky, sun, _parts(falls, sky, sun))


def came_to(room: WindowRoom, side: Side, hour: Hour) -> Came:
    """What reaches a side at an hour."""
    glazing = room.ready.glazing
    if hour.sky == "overcast":
        straight = overcast_on(side.views, glazing, hour.sun, room.ground)
    else:
        straight = clear_on(
            side.views,
            glazing,
            hour.sun,
            room.ground,
            beam_on(room.ready, side.views, side.at_m, side.way, hour.sun),
        )
    direct = sum(spectrum * float(lux[0]) for spectrum, lux in _parts(straight, hour.sky, hour.sun))
    return Came(np.asarray(direct), by_surfaces(hour, side.face.weight), float(straight.sun[0]))


def always(_: datetime) -> bool:
    """Hours without end."""
    return True


def why_dark(light: DaylightAnswer) -> Said:
    """Why no hour at the subject has daylight to look at."""
    mark = light.marks.get("subject")
    if mark is not None and mark.series:
        return NO_DAYLIGHT
    return (mark.unknown if mark is not None else None) or light.unknown or NO_DAYLIGHT


def towards_windows(room: WindowRoom, subject: Point) -> FloatArray:
    """(3,) level unit vector along which most overcast daylight comes straight to the subject; to
    the nearest pane's middle where none does.
    """
    return np.array(_towards(room.ready, room.ground, subject))


@held(2)
def _towards(ready: PatchViews, ground: float, subject: Point) -> tuple[float, ...]:
    ways = np.array([[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -1.0, 0.0]])
    here = np.repeat(np.array([subject], dtype=np.float64), 4, axis=0)
    lux = overcast_on(views_of(ready, here, ways), ready.glazing, Sun(0.0, 45.0, 0.0), ground).total
    net = np.array([lux[0] - lux[1], lux[2] - lux[3], 0.0])
    if float(np.linalg.norm(net)) <= 1e-9:
        sides = walls(ready.room.patches.plan_m)
        middles = [
            sides[glass.pane.wall].point(glass.pane.offset_m + glass.pane.width_m / 2, subject[2])
            for glass in ready.glazing
        ]
        net = min(
            (np.asarray(middle) - np.array(subject) for middle in middles),
            key=lambda away: float(np.linalg.norm(away)),
        )
        net = np.array([net[0], net[1], 0.0])
    return tuple((net / max(float(np.linalg.norm(net)), 1e-9)).tolist())


def hours(
    light: DaylightAnswer,
    at: datetime | None,
    height_deg: Callable[[datetime], float],
    within: Callable[[datetime], bool] = always,
) -> tuple[tuple[Sky, datetime], ...]:
    """The instants worth looking at: the brightest overcast hour, useful whole hours of a clear
    day, and one that is asked for under both skies.

    height_deg: of the sun;  within: whether an instant lies in the hours of the setup
    """
    mark = light.marks.get("subject")
    series = [point for point in (mark.series if mark is not None else ()) if within(point.at)]
    overcast = [point for point in series if point.overcast_lux]
    found: list[tuple[Sky, datetime]] = [("overcast", at)] if at is not None else []
    if overcast and at is None:
        found.append(("overcast", max(overcast, key=lambda point: point.overcast_lux or 0.0).at))
    whole = [point for point in series if point.clear_lux and point.at.minute == 0]
    best = max((point.clear_lux or 0.0 for point in whole), default=0.0)
    useful = [
        point
        for point in whole
        if (point.clear_lux or 0.0) >= USEFUL * best and height_deg(point.at) > LOW_SUN_DEG
    ]
    picked = (
        [
            useful[k]
            for k in np.unique(np.linspace(0, len(useful) - 1, MOST_HOURS).round().astype(int))
        ]
        if useful
        else []
    )
    times = sorted({*(point.at for point in picked), *((at,) if at is not None else ())})
    return (*found, *(("clear", when) for when in times))


def window_surround(
    sheet: RoomSheet,
    on: date,
    light: DaylightAnswer,
    at: datetime | None = None,
    within: Callable[[datetime], bool] = always,
) -> tuple[tuple[WindowLightAnswer, ...], BlockNote]:
    """Two rows, lit and shadow side, for each hour worth looking at, and what holds for all of
    them. Never raises for a valid sheet.
    """
    lit = lit_room(sheet)
    subject = sheet.marks.subject if sheet.marks is not None else None
    if isinstance(lit, Said):
        return (), no_room(lit)
    if subject is None:
        return (), BlockNote(unknown=NO_SUBJECT)
    room = window_room(sheet, lit, on)
    if not isinstance(room, WindowRoom):
        return (), BlockNote(unknown=room)
    mark = light.marks.get("subject")
    suns = {
        point.at: room.sun(point.at)
        for point in (mark.series if mark is not None else ())
        if point.at.minute == 0 and point.clear_lux
    }
    wanted = hours(
        light,
        at,
        lambda when: sun.elevation_deg if (sun := suns.get(when)) is not None else 0.0,
        within,
    )
    if not wanted:
        return (), BlockNote(room.assumed, why_dark(light))
    toward = towards_windows(room, subject)
    found = [(sky, when, hour_of(room, sky, when)) for sky, when in wanted]
    known = [hour for _, _, hour in found if isinstance(hour, Hour)]
    sides = {
        "key": side_of(room, subject, toward),
        "shadow": side_of(room, subject, -toward),
    }
    drawn = _drawn(room, tuple(sides.values()), known, draws(sheet, lit)) if known else ()
    rows: list[WindowLightAnswer] = []
    for sky, when, hour in found:
        if isinstance(hour, Hour):
            rows += _rows(room, sides, hour, when, drawn[known.index(hour)])
        else:
            rows += [
                WindowLightAnswer(sky=sky, at=when, side=side, unknown=hour)
                for side in ("key", "shadow")
            ]
    return tuple(rows), BlockNote(
        (*room.assumed, SIDES, *lit.assumed),
        room.clear if all(row.risk is None for row in rows if row.sky == "clear") else None,
    )


def _rows(
    room: WindowRoom, sides: Mapping[str, Side], hour: Hour, at: datetime, drawn: FloatArray
) -> list[WindowLightAnswer]:
    """Both sides at an hour; drawn: (2, draws, 71) what came to them by way of drawn surfaces."""
    came = {name: came_to(room, side, hour) for name, side in sides.items()}
    whole = hour.entering(room.ready.room.patches.area_m2)
    unit = np.ones(len(NM))
    key_lux, shadow_lux = (float(lux_of(came[name].total, unit)) for name in ("key", "shadow"))
    # as a crew does: to a card held at the lit face, which sees what comes straight and what the
    # room adds
    balanced = came["key"].total if key_lux > LEAST_LUX else whole
    cct, duv = (
        (float(part) for part in cct_duv(uv_1960(xyz(whole))))
        if float(lux_of(whole, unit)) > 0
        else (0.0, 1.0)
    )
    cards = came["key"].straight + drawn[0]
    rows = []
    for side, by_way in zip(("key", "shadow"), drawn, strict=True):
        straight, bounced = (
            float(lux_of(came[side].straight, unit)),
            float(lux_of(came[side].bounced, unit)),
        )
        row = WindowLightAnswer(
            sky=hour.sky,
            at=at,
            side="key" if side == "key" else "shadow",
            direct_lux=straight,
            bounced_lux=bounced,
            sun_lux=came[side].sun_lux,
            entering_cct_k=cct if is_white(cct, duv) else None,
            assumed=(sky_of(hour),),
        )
        rows.append(
            _judged(
                room,
                sides[side],
                hour,
                row,
                balanced,
                came[side],
                contrast=(key_lux, shadow_lux),
                drawn=by_way,
                cards=cards,
            )
        )
    return rows


def sky_of(hour: Hour) -> Said:
    """The state of the sky at an hour."""
    high = hour.sun.elevation_deg
    if hour.sky == "overcast":
        return OVERCAST
    return said("bounce.clear_sky", high=Figure(high, "deg"), beam=Figure(sun_cct_k(high), "K"))


def _judged(
    room: WindowRoom,
    side: Side,
    hour: Hour,
    row: WindowLightAnswer,
    balanced: FloatArray,
    came: Came,
    contrast: tuple[float, float],
    drawn: FloatArray,
    cards: FloatArray,
) -> WindowLightAnswer:
    total = came.total
    if float(lux_of(total, np.ones(len(NM)))) <= LEAST_LUX:
        return replace(row, unknown=NONE_HERE)
    (shift,) = shifts(balanced, total[None])
    worst = (
        _culprit(room, side, hour, balanced, total, shift.delta_e)
        if RISKS.index(shift.risk) >= RISKS.index("medium")
        else None
    )
    key_lux, shadow_lux = contrast
    stops = (
        float(np.log2(key_lux / shadow_lux))
        if row.side == "shadow" and key_lux > 0 and shadow_lux > 0
        else None
    )
    straight, bounced = row.direct_lux or 0.0, row.bounced_lux or 0.0
    row = replace(
        with_shift(row, shift),
        bounced_share=bounced / (straight + bounced),
        worst_surface=worst,
        contrast_stops=stops,
    )
    # each draw of the colours has its own card, to which the camera is balanced there: what is left
    # of it is brought to this one's balance, wavelength by wavelength
    least = 1e-9 * cards.max(axis=1, keepdims=True)
    left = (came.straight + drawn) * balanced / np.maximum(cards, least)
    return ranged([row], balanced, left[None])[0]


def by_surfaces(hour: Hour, weight: NDArray[np.floating[Any]]) -> FloatArray:
    """(71,) what comes to a face by way of the surfaces."""
    return np.asarray(sum(spectrum * (laid @ weight) for spectrum, laid in hour.parts))


def _culprit(
    room: WindowRoom, side: Side, hour: Hour, balanced: FloatArray, total: FloatArray, now: float
) -> str | None:
    """The surface that, made a grey of its lightness, would take the most colour away, to first
    order; None when none does (the sky itself is to blame).
    """
    landing = all_landing(room.ready.room, room.reflectance, hour.total, closed=ROUGHLY)
    light = hour.entering(room.ready.room.patches.area_m2)
    light = light / float(lux_of(light, np.ones(len(NM))))
    names: Sequence[str] = [name for name in room.lit.surfaces if name in room.lit.known]
    without = []
    for name in names:
        spectrum = room.lit.known[name]
        change = (
            light
            * (float(reflected_share(light, spectrum)) - spectrum)
            * side.face.through(name, landing)
        )
        without.append(np.maximum(total + change, 0.01 * total))
    gains = [now - shift.delta_e for shift in shifts(balanced, np.stack(without))]
    best = int(np.argmax(gains))
    return names[best] if gains[best] > LEAST_CULPRIT else None
