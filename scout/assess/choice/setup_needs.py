"""Needs that the setup meets at its hours: framing, daylight, sun, colour, quiet, speech at a microphone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import time
from math import log2
from typing import Any

from scout.assess.answers import unmeasured
from scout.assess.bounce.worst import worst_cast
from scout.assess.choice.cells import (
    CELL_LEVELS,
    WORSE,
    Case,
    CellLevel,
    NeedCell,
    Reading,
    listed,
    metres,
    unknown,
)
from scout.assess.daylight.judged import JudgedLight, judged_light
from scout.assess.fit.levels import framing_level, mark_words
from scout.assess.setup import Setup
from scout.assess.sound.noise import quiet_then
from scout.calc.bounce.shift import RISKS
from scout.records.kept import (
    ColourNeed,
    DaylightNeed,
    FramingNeed,
    LuxNeed,
    MicNeed,
    NoiseNeed,
    SunNeed,
)
from scout.records.sheet import RoomSheet
from scout.values import Figure, Many, Name, Said, Spell, Word, names, said

# what rooms are, where nobody measured (common practice)
ROOM_DBA, ROOM_LUX = (25.0, 60.0), (10.0, 3000.0)
SKY_STOPS = 1.0  # one overcast sky or another (common practice)
SUN_TROUBLES = ("sun.on_face", "sun.in_lens", "sun.in_frame")
SPEECH = ("unusable", "repair", "usable", "clean")


def _framing(need: FramingNeed, case: Case) -> NeedCell:
    fit = case.facts.assessment.fit
    framed = framing_level(fit, need.framing)
    row = framed.row
    if row is None or framed.level == "unknown":
        because = (row.unknown if row else None) or fit.unknown or said("need.no_framing")
        return unknown(because)
    lens = Figure(row.focal_length_mm, "mm")
    if framed.level == "problem":
        away = None if row.distance_m is None else metres(row.distance_m)
        figure = said("need.needs_room", distance=away) if away else said("need.no_lens")
        why = said("need.no_lens_fits") if row.why is None else row.why
        return NeedCell("fail", figure, said("need.at_lens", lens=lens, why=why))
    alike = sorted(one.focal_length_mm for one in (row, *framed.others))
    lenses = Many(tuple(Figure(focal, "mm") for focal in alike), "list")
    if framed.level == "care" and row.why is not None:
        return NeedCell("care", lenses, row.why)
    away = None if row.face_distance_m is None else metres(row.face_distance_m)
    why = said("need.best_lens", lens=lens, away=away, mark=mark_words(fit, row))
    return NeedCell(CELL_LEVELS[framed.level], lenses, why)


def _daylight(need: DaylightNeed, case: Case) -> NeedCell:
    if need.want == "shut_out":
        return _shut_out(case)
    light = case.facts.assessment.daylight
    judged = [lit for setup in _setups(case) if (lit := judged_light(light, setup)) is not None]
    mark = light.marks.get("subject")
    if not judged or all(lit.kind == "unknown" for lit in judged):
        hangs_on = next((lit for lit in judged if lit.overcast is not None and lit.hangs_on), None)
        if hangs_on is not None and hangs_on.overcast is not None:
            ends = (hangs_on.overcast.low, hangs_on.overcast.high)
            least, most = (Figure(end or 0.0, "stops") for end in ends)
            between = said("light.depends", least=least, most=most)
            return NeedCell("unknown", between, unmeasured(hangs_on.hangs_on or ""))
        return unknown((mark.unknown if mark else None) or light.unknown or said("need.no_light"))
    # no daylight at all within the hours is no daylight; for a setup alone it is night, and care
    levels = [("fail" if lit.kind == "dark" else CELL_LEVELS[lit.level], lit) for lit in judged]
    level, lit = max(levels, key=lambda pair: WORSE.index(pair[0]))
    figure = None
    if lit.overcast_lux_noon is not None and lit.needed_lux is not None:
        figure = said(
            "need.lux_noon",
            lux=Figure(lit.overcast_lux_noon, "lux"),
            needed=Figure(lit.needed_lux, "lux"),
        )
    return NeedCell(level, figure, _light_why(lit))


def _light_why(lit: JudgedLight) -> Said:
    spell = Spell(lit.enough[0][0], lit.enough[-1][1]) if lit.enough else None
    if lit.kind == "enough" and lit.level == "good":
        return said("need.light_enough", spell=spell, where=lit.where)
    if lit.kind == "enough":
        return said("need.light_part", spell=spell, where=lit.where)
    if lit.kind == "too_bright":
        return said("need.light_bright", over=lit.overcast, where=lit.where)
    if lit.kind == "clear_only":
        return said("need.light_clear", where=lit.where)
    if lit.kind == "dark":
        return said("need.light_dark")
    return said("need.light_short", where=lit.where)


def _setups(case: Case) -> Iterator[Setup | None]:
    """A setup for each of the scene's hours; the whole date where it names none."""
    found = case.facts.assessment
    timed = [need for need in case.whens if need.from_time or need.until_time]
    sheet = RoomSheet.model_validate(
        {"schema": "room-sheet/1", "room": {}, "location": {"timezone": found.timezone}}
    )
    for need in timed:
        begin, end = (
            time.fromisoformat(clock) if clock else None
            for clock in (need.from_time, need.until_time)
        )
        yield Setup(sheet, found.date, begin, end)
    if not timed:
        yield None


def _shut_out(case: Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("fail", said("need.open_sky"), said("need.not_outdoors"))
    if room.setting == "covered":
        return NeedCell("fail", said("need.open_sides"), said("need.from_the_side"))
    if room.windows is None:
        return unknown(unmeasured("room.windows"))
    bare = [w.id for w in room.windows if w.covering in ("none", "sheer")]
    unseen = [w.id for w in room.windows if w.covering is None]
    blinds = [w.id for w in room.windows if w.covering == "blind"]
    figure = said("need.windows", count=len(room.windows))
    if bare:
        return NeedCell("fail", figure, said("need.bare", windows=names(bare)))
    if unseen:
        return unknown(unmeasured(*(f"windows.{window}.covering" for window in unseen)))
    if blinds:
        return NeedCell("care", figure, said("need.blinds", windows=names(blinds)))
    return NeedCell(
        "pass", figure, said("need.blackout") if room.windows else said("need.no_window")
    )


def _lux(need: LuxNeed, case: Case) -> NeedCell:
    light = case.facts.assessment.daylight
    lit = judged_light(light)
    if lit is None or lit.overcast_lux_noon is None:
        mark = light.marks.get("subject")
        why = (mark.unknown if mark else None) or light.unknown or said("need.no_light")
        return unknown(why, Reading.between(*(log2(end) for end in ROOM_LUX)))
    lux = lit.overcast_lux_noon
    reading = Reading.about(log2(max(lux, 0.01)), SKY_STOPS)
    figure, gap = Figure(lux, "lux"), Figure(abs(log2(max(lux, 0.01) / need.lux)), "stops")
    if lux >= need.lux:
        return NeedCell("pass", figure, said("need.lux_over", over=gap), reading)
    clear = lit.clear_lux_noon
    if clear is not None and clear >= need.lux:
        return NeedCell("fail", figure, said("need.lux_clear", clear=Figure(clear, "lux")), reading)
    return NeedCell("fail", figure, said("need.lux_short", short=gap), reading)


def _sun(need: SunNeed, case: Case) -> NeedCell:
    found = case.facts.assessment
    troubles = [one for one in found.findings if one.code in SUN_TROUBLES]
    if troubles:
        why = Many(tuple(one.said() for one in troubles), "list")
        level: CellLevel = "care" if all(one.acts for one in troubles) else "fail"
        return NeedCell(level, None, said("need.list", parts=why))
    if any(one.topic == "sun" and one.level == "unknown" for one in found.findings):
        return unknown(said("need.sun_unknown"))
    if any(one.topic == "sun" for one in found.findings):
        return NeedCell("pass", None, said("need.no_sun"))
    return unknown(said("need.sun_unknown"))


def _colour(need: ColourNeed, case: Case) -> NeedCell:
    found = case.facts.assessment
    if case.facts.room.setting == "exterior":
        return NeedCell("outside", None, said("need.no_walls"))
    worst = worst_cast(found)
    if worst is None or worst.risk is None or worst.delta_e is None:
        first: Any = next(iter(found.surround), None)
        note = found.blocks.get("surround")
        return unknown(
            (first.unknown if first else None)
            or (note.unknown if note else None)
            or said("need.no_colour")
        )
    over = RISKS.index(worst.risk) - RISKS.index(need.risk)
    # one step is within the doubt of a colour read by eye or card; high is beyond it
    near = over == 1 and worst.risk != "high"
    why = said(
        "need.worst_cast",
        light=Name(worst.light),
        side=Word("side", worst.side),
        surface=Word("surface", worst.worst_surface) if worst.worst_surface else None,
        risk=Word("risk", worst.risk),
    )
    level: CellLevel = "pass" if over <= 0 else "care" if near else "fail"
    return NeedCell(level, Figure(worst.delta_e, "delta_e"), why, order=-worst.delta_e)


def _noise(need: NoiseNeed, case: Case) -> NeedCell:
    facts = case.facts
    answer = quiet_then(need.laeq_db, case.whens, facts.room, facts.noises, facts.location.timezone)
    why = listed(*answer.why)
    no_quiet = any(noises.level == "problem" for noises in answer.noises)
    if answer.laeq is None:
        return unknown(why, None if no_quiet else Reading.between(*ROOM_DBA))
    low, high = answer.laeq.low or answer.laeq.value, answer.laeq.high or answer.laeq.value
    reading = None if no_quiet else Reading(answer.laeq.value, low, high)
    return NeedCell(CELL_LEVELS[answer.level], answer.laeq, why, reading)


def _mic(need: MicNeed, case: Case) -> NeedCell:
    sound = case.facts.assessment.sound
    judged = [mic for mic in sound.placements if mic.verdict is not None]
    if not judged:
        why = sound.unknown_by.get("placements") or sound.unknown or said("need.no_mic")
        return unknown(why)
    best = max(judged, key=lambda mic: SPEECH.index(mic.verdict or "unusable"))
    short = SPEECH.index(need.speech) - SPEECH.index(best.verdict or "unusable")
    why = said("need.best_mic", mic=Name(best.mic), speech=Word("speech", best.verdict or ""))
    level: CellLevel = "pass" if short <= 0 else "care" if short == 1 else "fail"
    return NeedCell(level, None, why, order=SPEECH.index(best.verdict or "unusable"))


JUDGES: dict[str, Callable[[Any, Case], NeedCell]] = {
    "framing": _framing,
    "daylight": _daylight,
    "lux": _lux,
    "sun": _sun,
    "colour": _colour,
    "noise": _noise,
    "mic": _mic,
}
ASKED: dict[str, Callable[[Any], Said]] = {
    "framing": lambda need: said("asked.framing", framing=Word("framing", need.framing)),
    "daylight": lambda need: (
        said("asked.daylight") if need.want == "wanted" else said("asked.dark")
    ),
    "lux": lambda need: said("asked.lux", lux=Figure(need.lux, "lux")),
    "sun": lambda need: said("asked.sun"),
    "colour": lambda need: (
        said("asked.no_cast")
        if need.risk == "none"
        else said("asked.colour", risk=Word("risk", need.risk))
    ),
    "noise": lambda need: said("asked.noise", laeq=Figure(need.laeq_db, "dBA")),
    "mic": lambda need: said("asked.mic", speech=Word("speech", need.speech)),
}
