"""Mixed light at the mark: key, window daylight and practicals together on the two cheeks, and what
to switch off or gel.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np

from scout.assess.answers import (
    Act,
    Change,
    DaylightAnswer,
    MixedAnswer,
    MixedSide,
    Placement,
    Point,
    Risk,
    act,
)
from scout.assess.answers.finding import MOST_ACTS
from scout.assess.bounce.lamp import light_unmeasured
from scout.assess.bounce.room import LitRoom, cannot, lit_room, of_thing
from scout.assess.bounce.start import NO_LIGHTS, lights_of, no_room, subject_look
from scout.assess.bounce.surround import aimed
from scout.assess.bounce.windows import (
    Hour,
    Sky,
    WindowRoom,
    always,
    came_to,
    hour_of,
    side_of,
    sky_of,
    why_dark,
    window_room,
)
from scout.assess.bounce.worst import WORTH, helps
from scout.calc.bounce.light import light_spectrum
from scout.calc.bounce.reach import Spot, View, all_landing, lux_of, view
from scout.calc.bounce.shift import nearest_gels, shifts
from scout.calc.bounce.spectra import xyz
from scout.calc.bounce.whiteness import cct_duv, is_white, uv_1960, xy
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import INWARD_M, direct_at
from scout.errors import OutOfRange
from scout.records.sheet import Practical, RoomSheet
from scout.values import Figure, Many, Name, Said, Word, said, words

CHEEK_DEG = 60.0
NEAREST_M = 0.05
WINDOWS = "windows"
CHEEKS = said("bounce.cheeks", turn=Figure(CHEEK_DEG, "deg"))
NONE_AT_ALL, NONE_ON_A_CHEEK = said("bounce.no_daylight_here"), said("bounce.dark_cheek")


@dataclass(frozen=True)
class _Source:
    """What one source gives on each cheek: spectra (2, 71) in lux by wavelength, and its own light
    (71,).
    """

    name: str
    light: FloatArray
    cheeks: FloatArray
    practical: Practical | None = None


def mixed_light(
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    light: DaylightAnswer,
    at: datetime | None = None,
    *,
    skies: Sequence[Sky] = ("overcast",),
    on: date | None = None,
    within: Callable[[datetime], bool] = always,
) -> list[MixedAnswer]:
    """Key, windows and practicals on both cheeks at an hour, the brightest overcast one when none
    is given, under each sky. Never raises for a valid sheet.

    skies: the states of it; on: the local date, that of `at` when not given; within: the hours of
        the setup
    """
    lit = lit_room(sheet)
    if isinstance(lit, Said):
        note = no_room(lit)
        return [MixedAnswer(assumed=note.assumed, unknown=note.unknown)] * len(skies)
    lamps = _lamps(sheet, placements, lit)
    if isinstance(lamps, MixedAnswer):
        return [lamps] * len(skies)
    answers = []
    for sky in skies:
        sources, assumed, missing = list(lamps.sources), list(lamps.assumed), list(lamps.missing)
        asked = sky, at
        window = _window(sheet, lit, lamps.ways, lamps.subject, light, on, asked, within, assumed)
        if isinstance(window, Said):
            missing.append(window)
        elif window is not None:
            sources.append(window)
        answers.append(_answer(sources, tuple(dict.fromkeys(assumed)), missing))
    return answers


@dataclass(frozen=True)
class _Lamps:
    """Key and practicals on both cheeks: the same under every sky."""

    sources: tuple[_Source, ...]
    assumed: tuple[Said, ...]
    missing: tuple[Said, ...]
    subject: Point
    ways: tuple[FloatArray, FloatArray]


def _lamps(
    sheet: RoomSheet, placements: Mapping[str, Placement], lit: LitRoom
) -> _Lamps | MixedAnswer:
    """The lamps, or an answer that says what is not known."""
    if lit.missing:
        return MixedAnswer(unknown=lit.because())
    lights = lights_of(sheet)
    if not lights:
        return MixedAnswer(unknown=NO_LIGHTS)
    key = next((one for one in lights if one.id == "key"), lights[0])
    face = subject_look(sheet, lit)
    found = aimed(key, sheet, placements, lit)
    if isinstance(face, Said):
        return MixedAnswer(unknown=face)
    if isinstance(found, Said):
        return MixedAnswer(unknown=found)
    if found.lamp.lux_at_1m is None:
        return MixedAnswer(unknown=found.lamp.unknown)
    ways = _cheeks(sheet, found.subject, found.toward)
    looks = [view(lit.room, found.subject, way) for way in ways]
    straight = [
        float(
            direct_at(
                found.lamp.at_m,
                found.aim_m,
                found.lamp.unit_lux,
                found.lamp.beam_deg,
                np.array(found.subject),
                way,
            )
        )
        for way in ways
    ]
    if found.direct == 0.0:
        straight = [0.0, 0.0]
    assumed = [
        CHEEKS,
        *found.assumed,
    ]
    sources = [
        _Source(
            key.id,
            found.lamp.colour.spectrum,
            _arriving(lit, looks, found.laid, found.lamp.colour.spectrum, straight),
        )
    ]
    missing: list[Said] = []
    for practical in sheet.room.practicals or ():
        made = _practical(practical, lit, looks, ways, found.subject, assumed)
        if isinstance(made, Said):
            missing.append(made)
        else:
            sources.append(made)
    return _Lamps(tuple(sources), tuple(assumed), tuple(missing), found.subject, ways)


def _cheeks(sheet: RoomSheet, subject: Point, toward: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The ways the two cheeks look, the one nearer to the key first."""
    marks = sheet.marks
    assert marks is not None
    if marks.subject_normal is not None:
        way = np.array(marks.subject_normal, dtype=np.float64)
    else:
        assert marks.camera is not None  # subject_look has refused a face that looks nowhere
        way = np.array([marks.camera[0] - subject[0], marks.camera[1] - subject[1], 0.0])
    way = (
        np.array([way[0], way[1], 0.0])
        if np.hypot(way[0], way[1]) > NEAREST_M
        else np.array([1.0, 0.0, 0.0])
    )
    way /= np.linalg.norm(way)
    c, s = np.cos(np.radians(CHEEK_DEG)), np.sin(np.radians(CHEEK_DEG))
    one, other = (
        np.array([c * way[0] - k * s * way[1], k * s * way[0] + c * way[1], 0.0])
        for k in (1.0, -1.0)
    )
    return (one, other) if one @ toward >= other @ toward else (other, one)


def _arriving(
    lit: LitRoom, looks: list[View], laid: Spot, light: FloatArray, straight: list[float]
) -> FloatArray:
    reflectance = lit.reflectance[0]
    landing = all_landing(lit.room, reflectance, laid.mean_lux)
    return np.stack(
        [
            light * (look.arriving(reflectance, laid, landing) + direct)
            for look, direct in zip(looks, straight, strict=True)
        ]
    )


def _practical(
    row: Practical,
    lit: LitRoom,
    looks: list[View],
    ways: tuple[FloatArray, FloatArray],
    subject: Point,
    assumed: list[Said],
) -> _Source | Said:
    named = Name(row.id)
    if row.at_m is None or row.lumens is None or row.cct_k is None:
        absent = {"at_m": row.at_m, "lumens": row.lumens, "cct_k": row.cct_k}
        return light_unmeasured(row.id, *(fact for fact in absent if absent[fact] is None))
    try:
        colour = light_spectrum("led" if row.cct_k <= 6500 else "daylight", row.cct_k, row.duv)
    except OutOfRange as refusal:
        return of_thing(named, cannot("light", refusal))
    at, patches = np.array(row.at_m, dtype=np.float64), lit.room.patches
    points, share = patches.points(4)
    to = points - at
    squared = np.maximum(np.einsum("pkx,pkx->pk", to, to), NEAREST_M**2)
    lux = (
        row.lumens
        / (4 * np.pi)
        * np.maximum(-np.einsum("pkx,px->pk", to, patches.normal), 0.0)
        / squared**1.5
    )
    lux = lux * patches.sees(at, points + INWARD_M * patches.normal[:, None])
    landed = float(np.sum(lux * share, axis=1) @ patches.area_m2)
    if landed <= 0:
        return said("bounce.outside", light=named)
    lux = lux * (row.lumens / landed)
    here = at - np.array(subject)
    away = max(float(np.linalg.norm(here)), NEAREST_M)
    clear = bool(patches.sees(at, subject))
    straight = [
        row.lumens / (4 * np.pi) * max(float(here @ way), 0.0) / away**3 if clear else 0.0
        for way in ways
    ]
    assumed.append(said("bounce.bare_bulb", light=named))
    laid = Spot(lux, np.sum(lux * share, axis=1))
    return _Source(
        row.id, colour.spectrum, _arriving(lit, looks, laid, colour.spectrum, straight), row
    )


def _window(
    sheet: RoomSheet,
    lit: LitRoom,
    ways: tuple[FloatArray, FloatArray],
    subject: Point,
    light: DaylightAnswer,
    on: date | None,
    asked: tuple[Sky, datetime | None],
    within: Callable[[datetime], bool],
    assumed: list[Said],
) -> _Source | Said | None:
    """Daylight through all the windows at the hour on both cheeks, or why it is left out; None for
    a room that lets none in.
    """
    sky, at = asked
    if not any(
        row.id in lit.room.patches.names and row.covering != "blackout"
        for row in sheet.room.windows or ()
    ):
        return None
    mark = light.marks.get("subject")
    points = [
        point
        for point in (mark.series if mark is not None else ())
        if point.overcast_lux and within(point.at)
    ]
    if at is None and points:
        at = max(points, key=lambda one: one.overcast_lux or 0.0).at
    if at is None:
        return without_daylight(why_dark(light))
    room = window_room(sheet, lit, on if on is not None else at.date())
    if not isinstance(room, WindowRoom):
        return without_daylight(room)
    hour = hour_of(room, sky, at)
    if not isinstance(hour, Hour):
        return without_daylight(hour)
    came = [came_to(room, side_of(room, subject, way), hour) for way in ways]
    cheeks = np.stack([one.straight + one.bounced for one in came])
    if float(cheeks.sum()) <= 0:
        return without_daylight(NONE_AT_ALL)
    assumed += [said("bounce.daylight_at", at=at, sky=sky_of(hour)), *room.assumed]
    if any(one.sun_lux > 0 for one in came):
        assumed.append(said("bounce.sun_on_face"))
    return _Source(WINDOWS, hour.entering(room.ready.room.patches.area_m2), cheeks)


def _answer(sources: list[_Source], assumed: tuple[Said, ...], missing: list[Said]) -> MixedAnswer:
    total = np.sum([source.cheeks for source in sources], axis=0)
    unit = np.ones(total.shape[-1])
    lux = lux_of(total, unit)
    why = said("bounce.left_out", reasons=Many(tuple(missing))) if missing else None
    if np.min(lux) <= 0:
        return MixedAnswer(unknown=NONE_ON_A_CHEEK, assumed=assumed)
    sides = []
    for number, name in enumerate(("key", "other")):
        value = xyz(total[number])
        cct, duv = (float(part) for part in cct_duv(uv_1960(value)))
        place = xy(value)
        sides.append(
            MixedSide(
                side=Word("cheek", name),
                lux=float(lux[number]),
                xy=(float(place[0]), float(place[1])),
                cct_k=cct if is_white(cct, duv) else None,
                duv=duv,
                shares={
                    source.name: float(lux_of(source.cheeks[number], unit)) / float(lux[number])
                    for source in sources
                },
            )
        )
    (between,) = shifts(total[0], total[1][None])
    window = next((source for source in sources if source.name == WINDOWS), None)
    return MixedAnswer(
        sides=tuple(sides),
        mired_between=between.mired_shift,
        delta_e_between=between.delta_e,
        risk=between.risk,
        assumed=assumed,
        unknown=why,
        acts=_acts(sources, between.delta_e, between.risk),
        window_cct_k=None if window is None else float(cct_duv(uv_1960(xyz(window.light)))[0]),
    )


def without_daylight(why: Said) -> Said:
    """That daylight is left out, and why; the reason may still be a sentence."""
    return said("bounce.without_daylight", why=why if isinstance(why, Said) else None)


def _acts(sources: list[_Source], now: float, risk: Risk) -> tuple[Act, ...]:
    """What brings the two cheeks together, each worked out again, most effect first."""
    if risk in {"none", "low"}:
        return ()
    key = sources[0]
    tries: list[tuple[FloatArray, str, dict[str, Any]]] = []
    for source in sources[1:]:
        rest = np.sum([other.cheeks for other in sources if other is not source], axis=0)
        if source.name == WINDOWS:
            others = np.sum([other.cheeks for other in sources[1:]], axis=0)
            of = {"light": Name(key.name)}
            tries += _gelled("gel.windows", of, source, key.light, rest)
            tries += _gelled("key.daylight", of, key, source.light, others)
        else:
            of = {"practical": Name(source.name)}
            if source.practical is not None and source.practical.can_switch_off:
                tries.append((rest, "practical.off", of))
            tries += _gelled("gel.practical", of, source, key.light, rest)
    done = []
    for total, code, values in tries:
        if np.min(lux_of(total, np.ones(total.shape[-1]))) <= 0:
            continue
        (after,) = shifts(total[0], total[1][None])
        if helps(now, after.delta_e, WORTH, risk, after.risk):
            buys = Change("delta_e_between", "delta_e", now, after.delta_e)
            done.append((after.delta_e, act(code, buys=buys, **values)))
    return tuple(one for _, one in sorted(done, key=lambda pair: pair[0])[:MOST_ACTS])


def _gelled(
    code: str, of: dict[str, Any], source: _Source, like: FloatArray, rest: FloatArray
) -> list[tuple[FloatArray, str, dict[str, Any]]]:
    """A source under the trade gels that bring it nearest to another light, at the end of what
    makers sell under the grades that leaves the cheeks further apart; nothing where no gel does.
    """
    gels = nearest_gels(like, source.light, lamp=source.light)
    if gels is None:
        return []
    ends = [rest + source.cheeks * end for end in gels.through(np.ones(len(source.light)))]
    apart = [shifts(end[0], end[1][None])[0].delta_e for end in ends]
    values = {"gels": words("gel", gels.names), **of}
    return [(ends[int(np.argmax(apart))], code, values)]
