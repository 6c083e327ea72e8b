"""The light on the face as it is turned, lamps and daylight together, and the exposure to start from:
ISO, f-number, a shutter that is steady on the place's mains, ND, white balance of the mix.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scout.assess.answers import (
    DaylightAnswer,
    ExposureAnswer,
    FaceLight,
    FitAnswer,
    LuxPoint,
    unmeasured,
)
from scout.assess.daylight.judged import judged_light
from scout.assess.daylight.mark.marks import camera_normals
from scout.assess.fit.light.flicker import SEEN_STOPS, SLOWEST_FPS, mains_at, swing_stops
from scout.assess.setup import Setup
from scout.assess.stage.kit import lights_by_id
from scout.calc.bounce.window_light import OVERCAST_K
from scout.calc.geometry import FloatArray
from scout.calc.light.exposure import (
    FLAT_RECEPTOR_CONSTANT,
    f_number_for,
    mixed_cct_k,
    needed_lux,
    third_stop_f,
    third_stop_iso,
)
from scout.calc.light.flicker import safe_shutters
from scout.records.sheet import Camera, RoomSheet
from scout.values import Figure, Said, said

CHEEK_DEG = 60.0  # so far off the way it looks a face still has skin square to a light
SUN_AND_SKY_K = 5500.0  # a clear day's light together (common practice)
SMALL_STOPS = 1.0 / 6.0  # an exposure is set to a third of a stop
LOWEST_ISO = 100.0  # of most cameras, without an extended range (common practice)
Range = tuple[float, float]


@dataclass(frozen=True)
class _Day:
    """The daylight on the face: in the middle of the hours under cloud, least, most."""

    usual_lux: float
    least_lux: float
    most_lux: float

    @property
    def range_lux(self) -> Range:
        return self.least_lux, self.most_lux


def exposure(setup: Setup, plan: FitAnswer, daylight: DaylightAnswer) -> ExposureAnswer:
    """What falls on the face in the setup's hours and how a camera starts on it. What cannot be told
    is left out, with the first reason.
    """
    sheet = setup.sheet
    face = _face(sheet)
    if isinstance(face, Said):
        return ExposureAnswer(unknown=face)
    assumed = [said("fit.cheek", turn=Figure(CHEEK_DEG, "deg"))]
    day = _day(setup, daylight)
    lights, toward = _lights(sheet, plan, face, 0.0 if day is None else day.usual_lux)
    answer = ExposureAnswer(lights=lights)
    lamps = sum(one.lit_lux for one in lights)
    if day is None:
        assumed.append(said("fit.exposed_without_day"))
    else:
        answer = replace(
            answer,
            day_lux=day.usual_lux,
            day_range_lux=day.range_lux,
            lamps_add_stops=_stops(lamps + day.usual_lux, day.usual_lux),
            lamps_add_range_stops=_range(
                _stops(lamps + day.most_lux, day.most_lux),
                _stops(lamps + day.least_lux, day.least_lux),
            ),
        )
    answer = _ratios(answer, day)
    if not lights and (day is None or day.usual_lux <= 0.0):
        because = said("fit.no_light_placed") if day is None else said("fit.no_light_on_face")
        return replace(answer, assumed=tuple(assumed), unknown=because)
    if toward is None:
        assumed.append(said("fit.exposed_by_day"))
    light = _Day(lamps, lamps, lamps) if day is None else _plus(day, lamps)
    answer = replace(answer, lit_lux=light.usual_lux, lit_range_lux=light.range_lux)
    answer = _balanced(answer, sheet, day, assumed)
    return _set(replace(answer, assumed=tuple(assumed)), sheet, light)


def _face(sheet: RoomSheet) -> FloatArray | Said:
    """(3,) the way the face looks, or why it is not known."""
    if sheet.marks is None or sheet.marks.subject is None:
        return unmeasured("marks.subject")
    way = camera_normals(sheet.marks)["subject"]
    return way if isinstance(way, Said) else np.asarray(way, dtype=np.float64)


def _lights(
    sheet: RoomSheet, plan: FitAnswer, face: FloatArray, day_lux: float
) -> tuple[tuple[FaceLight, ...], FloatArray | None]:
    """The lights of the plan whose lux are known, and the way the lit side of the face looks: to the
    key, no further off than there is skin; None without a key.
    """
    assert sheet.marks is not None
    assert sheet.marks.subject is not None
    subject = np.asarray(sheet.marks.subject, dtype=np.float64)
    known = lights_by_id(sheet)
    ways: dict[str, FloatArray] = {}
    lux: dict[str, float] = {}
    dims: dict[str, float] = {}
    for name in ("key", "fill", "back"):
        row = plan.plan.get(name)
        if row is None or row.light not in known or row.at_m is None or not row.lux:
            continue
        way = np.asarray(row.at_m) - subject
        if float(np.linalg.norm(way)) > 0.05:
            ways[name] = way / np.linalg.norm(way)
            lux[name] = row.lux
            dims[name] = row.dim_stops or 0.0
    # The key is left as much stronger as daylight would take its ratio away, the others with it.
    raised = 0.0
    if lux.get("key") and day_lux > 0.0:
        wanted = day_lux * (plan.ratio or 1.0)
        raised = max(float(np.log2(wanted / lux["key"])) + dims["key"], 0.0)
    for name, stops in dims.items():
        lux[name] *= 2.0 ** -max(stops - raised, 0.0)
    toward = None if "key" not in ways else _turned(face, ways["key"])
    lit = face if toward is None else toward
    rows = tuple(
        FaceLight(
            part=name,
            light=plan.plan[name].light or "",
            own_lux=lux[name],
            face_lux=lux[name] * max(float(way @ face), 0.0),
            lit_lux=lux[name] * max(float(way @ lit), 0.0),
        )
        for name in ("key", "fill", "back")
        for way in (ways.get(name),)
        if way is not None
    )
    return rows, toward


def _turned(face: FloatArray, way: FloatArray) -> FloatArray:
    """(3,) the way to a light, turned back to CHEEK_DEG off the face where it is further off."""
    off = float(np.arccos(np.clip(face @ way, -1.0, 1.0)))
    most = np.radians(CHEEK_DEG)
    if off <= most:
        return way
    side = way - (way @ face) * face
    size = float(np.linalg.norm(side))
    if size < 1e-9:  # dead behind: no side of the face is nearer to it
        return face
    return np.asarray(np.cos(most) * face + np.sin(most) * side / size)


def _day(setup: Setup, daylight: DaylightAnswer) -> _Day | None:
    """The daylight on the side that the camera sees, else on the level plane."""
    mark, lit = daylight.marks.get("subject"), judged_light(daylight)
    if mark is None or lit is None:
        return None
    points = [point for point in mark.series if setup.within(point.at)]
    found = [lux for point in points for lux in _all_of(point, side=lit.side)]
    overcast = [(point.at, _of(point, "overcast", side=lit.side)) for point in points]
    clouded = [(at, lux) for at, lux in overcast if lux is not None]
    if setup.hours is None:
        noon = lit.overcast_lux_noon
        return None if noon is None else _Day(noon, 0.0, max([noon, *found]))
    if not mark.series:
        return None
    if not clouded:
        return _Day(0.0, 0.0, 0.0)
    start, end = setup.hours
    middle = start + (end - start) / 2
    _, usual = min(clouded, key=lambda one: abs(one[0] - middle))
    return _Day(usual, min(found), max(found))


def _of(point: LuxPoint, sky: str, *, side: bool) -> float | None:
    value: float | None = getattr(point, f"camera_{sky}_lux" if side else f"{sky}_lux")
    return value


def _all_of(point: LuxPoint, *, side: bool) -> list[float]:
    """Every figure of an instant, under either sky, with both ends of what is not measured."""
    found: list[float] = []
    for sky in ("overcast", "clear"):
        usual = _of(point, sky, side=side)
        ends: Range | None = getattr(
            point, f"camera_{sky}_range_lux" if side else f"{sky}_range_lux"
        )
        found += [] if usual is None else [usual, *(ends or ())]
    return found


def _plus(day: _Day, lamps: float) -> _Day:
    return _Day(day.usual_lux + lamps, day.least_lux + lamps, day.most_lux + lamps)


def _stops(over: float | None, under: float | None) -> float | None:
    """How far one light is over another; None where either gives nothing."""
    return float(np.log2(over / under)) if over and under else None


def _range(low: float | None, high: float | None) -> Range | None:
    return None if low is None or high is None else (min(low, high), max(low, high))


def _ratios(answer: ExposureAnswer, day: _Day | None) -> ExposureAnswer:
    own = {one.part: one.own_lux for one in answer.lights}
    key = own.get("key")
    answer = replace(answer, key_over_fill_stops=_stops(key, own.get("fill")))
    if day is None:
        return answer
    return replace(
        answer,
        key_over_day_stops=_stops(key, day.usual_lux),
        key_over_day_range_stops=_range(_stops(key, day.most_lux), _stops(key, day.least_lux)),
    )


def _balanced(
    answer: ExposureAnswer, sheet: RoomSheet, day: _Day | None, assumed: list[Said]
) -> ExposureAnswer:
    """The white balance of what falls on the lit side; left out where a lamp's colour is not
    recorded.
    """
    lights = lights_by_id(sheet)
    lamps = [(lights[one.light], one.lit_lux) for one in answer.lights if one.lit_lux > 0.0]
    blank = [light.id for light, _ in lamps if light.cct_k is None]
    if blank:
        return replace(answer, unknown=unmeasured(*(f"lights.{one}.cct_k" for one in blank)))
    if day is not None and day.most_lux > 0.0:
        kelvins = {"overcast": Figure(OVERCAST_K, "K"), "clear": Figure(SUN_AND_SKY_K, "K")}
        assumed.append(said("fit.day_colour", **kelvins))

    def mix(day_lux: float, day_k: float) -> float | None:
        kelvin = [*(light.cct_k or day_k for light, _ in lamps), day_k]
        lux = [*(lux for _, lux in lamps), day_lux]
        duv = [*(light.duv or 0.0 for light, _ in lamps), 0.0]
        return mixed_cct_k(kelvin, duv, lux) if sum(lux) > 0.0 else None

    if day is None:
        return replace(answer, white_balance_k=mix(0.0, OVERCAST_K))
    ends = [
        found
        for lux in day.range_lux
        for kelvin in (OVERCAST_K, SUN_AND_SKY_K)
        if (found := mix(lux, kelvin)) is not None
    ]
    return replace(
        answer,
        white_balance_k=mix(day.usual_lux, OVERCAST_K),
        white_balance_range_k=(min(ends), max(ends)) if ends else None,
    )


def _set(answer: ExposureAnswer, sheet: RoomSheet, light: _Day) -> ExposureAnswer:
    """ISO, f-number and shutter as the kit has them, the shutter made steady; what of the three is
    not recorded is worked out from the rest. What is left over is taken off the ISO as far as
    LOWEST_ISO, the rest by ND; what is lacking goes to ISO.
    """
    kit = sheet.kit
    camera = kit.camera if kit is not None and kit.camera is not None else Camera()
    shutter, mains, notes = _shutter(sheet, camera.shutter_s)
    answer = replace(answer, shutter_s=shutter, mains_hz=mains, assumed=(*answer.assumed, *notes))
    constant = float(kit.exposure_constant or FLAT_RECEPTOR_CONSTANT) if kit is not None else 250.0
    iso, stop = camera.iso, camera.f_number
    if light.usual_lux <= 0.0:
        return replace(answer, iso=iso, f_number=stop)
    if iso is None and stop is None:
        missing = unmeasured("kit.camera.iso", "kit.camera.f_number")
        return replace(answer, unknown=answer.unknown or missing)
    if stop is None:
        assert iso is not None
        stop = third_stop_f(max(float(f_number_for(light.usual_lux, shutter, iso, constant)), 1.0))
    if iso is None:
        iso = third_stop_iso(float(needed_lux(stop, shutter, 1.0, constant)) / light.usual_lux)
        iso = max(iso, LOWEST_ISO)
    wanted = float(needed_lux(stop, shutter, iso, constant))
    over = float(np.log2(light.usual_lux / wanted))
    if over < -SMALL_STOPS:
        raised = third_stop_iso(iso * 2.0**-over)
        answer = replace(
            answer,
            assumed=(
                *answer.assumed,
                said("fit.iso_raised", stops=Figure(float(np.log2(raised / iso)), "stops")),
            ),
        )
        wanted *= iso / raised
        iso = raised
    elif over > SMALL_STOPS and iso > LOWEST_ISO:
        lowered = max(third_stop_iso(iso * 2.0 ** -(over + SMALL_STOPS)), LOWEST_ISO)
        stops = Figure(float(np.log2(iso / lowered)), "stops")
        answer = replace(
            answer,
            assumed=(*answer.assumed, said("fit.iso_lowered", iso=Figure(iso), stops=stops)),
        )
        wanted *= iso / lowered
        iso = lowered
    nd = [_nd(lux, wanted) for lux in (light.usual_lux, light.least_lux, light.most_lux)]
    return replace(
        answer,
        iso=iso,
        f_number=stop,
        needed_lux=wanted * 2.0 ** nd[0],
        nd_stops=nd[0],
        nd_range_stops=(nd[1], nd[2]),
    )


def _nd(lux: float, wanted_lux: float) -> float:
    """ND in thirds of a stop, as filters are made; none for less than half of one."""
    over = float(np.log2(lux / wanted_lux)) if lux > 0.0 else 0.0
    return max(round(3.0 * over), 0) / 3.0


def _shutter(
    sheet: RoomSheet, recorded_s: float | None
) -> tuple[float, tuple[float, ...], tuple[Said, ...]]:
    """The shutter, the mains it is steady on, and what was taken: the recorded one where it is
    steady, or nothing there pulses; else the steady one nearest to it, to half of a frame where
    none is recorded.
    """
    mains = mains_at(sheet.location)
    notes: list[Said] = []
    if len(mains) > 1:
        notes.append(said("fit.mains_unknown", mains=Figure(mains[0], "Hz")))
    if recorded_s is None:
        usual = 1.0 / mains[0]
        notes.append(said("fit.shutter_taken", shutter=Figure(usual, "shutter_s")))
        return usual, mains, tuple(notes)
    swing = swing_stops(recorded_s, mains[0])
    sunlit = sheet.room.setting == "exterior" and not sheet.room.practicals
    if sunlit or (swing is not None and swing <= SEEN_STOPS):
        return recorded_s, mains, tuple(notes)
    steady = min(
        (one.shutter_s for one in safe_shutters(mains[0], SLOWEST_FPS)),
        key=lambda one: abs(np.log(one / recorded_s)),
    )
    notes.append(said("fit.shutter_steadied", shutter=Figure(recorded_s, "shutter_s")))
    return steady, mains, tuple(notes)
