"""Every figure and code of some rooms, taken down so that an edit that means to change none is seen.

The figures are right because other tests hold them against the world outside; here they only stay
the same. `python -m tests.same_figures` takes them down anew where a change is meant; the
differences of `tests/same_figures.json` then say which figures of which room it has moved.

One line is one figure of an answer, by its path; one column a situation. Rows of the same path are
drawn into one number by weights of their own, so that none moves unseen.
"""

from __future__ import annotations

import dataclasses
import json
import zlib
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, time
from enum import Enum
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

import numpy as np

from scout.assess.answers import RoomAssessment
from scout.assess.choice.cells import CandidateFacts
from scout.assess.choice.choose import choose
from scout.assess.choice.compare import compare
from scout.assess.day.needs import limits_of, option_of, setup_day
from scout.assess.daylight.mark.contrast import window_contrast
from scout.assess.daylight.mark.grid import daylight_grid
from scout.assess.daylight.place.facing import compass
from scout.assess.daylight.sun.outdoors import reflector, sun_as_light
from scout.assess.daylight.sun.touch import sun_touches
from scout.assess.daylight.sun.year import steady_blocks, year_carpet
from scout.assess.fit.plan.figures import plan_figures
from scout.assess.room import assess_setup
from scout.assess.setup import Setup
from scout.assess.sound.recording import recording_answer
from scout.assess.sound.ring import Burst, measured_ring
from scout.calc.day.problem import Rules, worth
from scout.calc.day.solve import clash_of, plan
from scout.calc.sound.decay import decays
from scout.calc.sound.recording import measure
from scout.records import CandidateRecord, SceneRecord
from scout.records.day import DayRecord
from scout.records.kept import LocationRecord
from scout.records.presets import PRESETS
from scout.records.sheet import RoomSheet
from scout.values import Figure, Name, Said, Spoken, Word
from tests.calc.day.test_plan import drawn as drawn_day
from tests.demo_rooms import setups
from tests.rooms import plain_sheet

KEPT = Path(__file__).with_name("same_figures.json")
# of the sum of what a line draws together; other processors round otherwise
TOLERANCE = 1e-6
GOLDEN = 0.6180339887498949  # no two rows of a path weigh the same
NOT_FIGURES = ("timezone", "date", "setup", "sheet")

Leaf = float | str
Line = tuple[Leaf, float]  # what a path's rows draw together to, and out of how much


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, Leaf]]:
    """Every figure and code in an answer, each with its path; what somebody typed is left out."""
    if isinstance(value, Figure):
        yield f"{path} {value.unit}", value.value
        for end in (value.low, value.high):
            if end is not None:
                yield f"{path} {value.unit} between", end
    elif isinstance(value, Name):
        return
    elif isinstance(value, Word):
        yield path, value.key
    elif isinstance(value, Said):
        yield path, value.code
        for name, part in value.values:
            yield from leaves(part, f"{path}.{name}")
    elif isinstance(value, Enum):
        yield path, str(value.value)
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        if not isinstance(value, Spoken):
            yield path, type(value).__name__
        for field in dataclasses.fields(value):
            if field.name not in NOT_FIGURES:
                yield from leaves(getattr(value, field.name), f"{path}.{field.name}")
    elif isinstance(value, Mapping):
        for key, part in value.items():
            yield from leaves(part, f"{path}.{key}")
    elif isinstance(value, np.ndarray):
        yield f"{path} shape", str(value.shape)
        yield from ((path, float(number)) for number in value.ravel())
    elif isinstance(value, datetime):
        yield path, value.timestamp()
    elif isinstance(value, date):
        yield path, float(value.toordinal())
    elif isinstance(value, time):
        yield path, value.hour * 60.0 + value.minute + value.second / 60.0
    elif isinstance(value, (bool, int, float, np.number, np.bool_)):
        yield path, float(value)
    elif isinstance(value, (list, tuple, set, frozenset)):
        for part in value:
            yield from leaves(part, f"{path}[]")
    else:
        yield path, str(value)


def drawn(value: Any) -> dict[str, Line]:
    """An answer's lines."""
    numbers, texts = defaultdict[str, list[float]](list), defaultdict[str, list[str]](list)
    for path, leaf in leaves(value):
        if isinstance(leaf, str):
            texts[path].append(leaf)
        else:
            numbers[path].append(leaf)
    lines: dict[str, Line] = {}
    for path, row in numbers.items():
        whole = np.nan_to_num(np.array(row), nan=-1.0, posinf=1e9, neginf=-1e9)
        weight = 1.0 + np.arange(len(row)) * GOLDEN % 1.0
        lines[path] = float(whole @ weight), float(np.abs(whole) @ weight)
    for path, row in texts.items():
        lines[f"{path}*"] = f"{zlib.crc32('|'.join(row).encode()):08x}", 0.0
    return lines


# -- what is asked
def _moment(on: date) -> datetime:
    return datetime(on.year, on.month, on.day, 10, 20, tzinfo=UTC)


_KEPT_ANSWERS: dict[int, RoomAssessment] = {}


def _found(setup: Setup) -> RoomAssessment:
    if id(setup) not in _KEPT_ANSWERS:
        found = assess_setup(setup, at=_moment(setup.on), in_full=True)
        _KEPT_ANSWERS[id(setup)] = found
    return _KEPT_ANSWERS[id(setup)]


def _answered(setup: Setup) -> Any:
    """One room through every engine: the date's answer in full and what pages ask besides."""
    sheet, on = setup.sheet, setup.on
    found = _found(setup)
    touches = sun_touches(sheet, on)
    scene = SceneRecord.read({"name": "Talk", "needs": list(PRESETS["interview"])})
    days = [
        setup_day(
            setup,
            scene,
            found.timezone,
            found.daylight,
            touches,
            limits_of(DayRecord()),
            cloudy=cloudy,
        )
        for cloudy in (False, True)
    ]
    return {
        "found": found,
        "touches": touches,
        "contrast": window_contrast(sheet, on),
        "compass": compass(sheet, on),
        "grid": daylight_grid(sheet, 0.9, on=on),
        "plan": plan_figures(sheet, (2.2, 2.1, 2.0), 35.0),
        "sun_as_light": sun_as_light(sheet, on),
        "reflector": reflector(sheet, _moment(on)),
        "day": days,
        "option": None if days[0] is None else option_of(days[0], 0, 0, 45),
    }


def _typed(**changes: Any) -> RoomSheet:
    return RoomSheet.read(plain_sheet(**changes))


@lru_cache(maxsize=1)
def _rooms() -> dict[str, Setup]:
    """Rooms that go other ways through the engines; no side is a round number, so that no choice
    hangs on a draw.
    """
    demo = dict(setups())
    street = _typed(
        room__surfaces__B={"colour": {"srgb": "#3d6b52"}, "material": "hard_surface"},
        room__surfaces__C={"colour": {"srgb": "#8a2f2b"}, "material": "plasterboard_wall"},
        room__surfaces__D={"light_reflectance": 0.47, "material": "hard_surface"},
        room__surfaces__floor={"colour": {"srgb": "#6e4a2f"}, "material": "wood_floor"},
        room__street={"width_m": 9.3, "building_height_m": 11.7, "facade_reflectance": 0.37},
        room__storey=1,
        room__furnished="usual",
        room__windows__0__overhang_m=0.43,
        room__windows__0__overhang_gap_m=0.21,
        room__windows__0__skyline=None,
        room__circuits=[
            {"id": "K1", "volts": 120, "breaker_a": 15, "other_load_w": 310, "verified": True},
            {"id": "K2", "volts": 120, "breaker_a": 20, "other_load_w": 0, "verified": False},
        ],
        room__outlets=[
            {"id": "P1", "wall": "B", "offset_m": 0.63, "height_m": 0.31, "circuit": "K1"},
            {"id": "P2", "wall": "D", "offset_m": 2.17, "height_m": 0.29, "circuit": "K2"},
        ],
        room__readings=[
            {
                "id": "R1",
                "mark": "subject",
                "plane": "camera",
                "sky": "overcast",
                "taken_at": "2026-05-03T11:20:00+01:00",
                "lux": 187.0,
                "how": "meter",
                "counts": True,
            }
        ],
        kit__camera={
            "sensor_width_mm": 23.5,
            "sensor_height_mm": 13.2,
            "focal_lengths_mm": [18, 35, 56],
            "iso": 640,
            "f_number": 3.2,
            "shutter_s": 0.02,
            "latitude_stops": 4.5,
        },
        kit__lights=[
            {
                "id": "tungsten",
                "watts": 1000,
                "spectrum": "tungsten",
                "cct_k": 3150,
                "lux_at_1m": 9100,
                "beam_deg": 55,
                "stand_min_m": 1.2,
                "stand_max_m": 2.7,
                "head_m": 0.3,
                "soft_width_m": 0.3,
            },
            {
                "id": "panel",
                "watts": 950,
                "spectrum": "led",
                "cct_k": 5200,
                "duv": 0.004,
                "lux_at_1m": 4300,
                "beam_deg": 95,
                "stand_min_m": 1.0,
                "stand_max_m": 2.4,
                "head_m": 0.4,
                "soft_width_m": 0.7,
            },
            {
                "id": "spot",
                "watts": 870,
                "power_factor": 0.9,
                "cct_k": 5600,
                "lux_at_1m": 2700,
                "beam_deg": 24,
                "stand_min_m": 1.1,
                "stand_max_m": 2.5,
                "head_m": 0.2,
            },
        ],
        kit__mics=[
            {"id": "boom", "kind": "shotgun", "distance_m": 0.73},
            {"id": "clip", "kind": "omni_clip", "distance_m": 0.19},
        ],
        kit__cables=[{"length_m": 10, "conductor_mm2": 1.5}, {"length_m": 5}],
        kit__ratio=3.1,
    )
    noises = demo["Back kitchen"].noises
    return {
        **{name: demo[name] for name in ("Sun porch", "Garden court")},
        "Stair hall": demo["Stair hall"],
        "KT000000": demo["KT000000"],
        "parlour": Setup(_typed(), date(2026, 9, 23), framing="medium"),
        "street": Setup(
            street,
            date(2027, 2, 3),
            from_time=time(9, 10),
            until_time=time(16, 40),
            framing="head_and_shoulders",
            focal_length_mm=35.0,
            place=demo["Back kitchen"].place,
            noises=noises,
            ring=measured_ring([Burst("pop", decays(_burst(), 48_000))]),
        ),
    }


def _burst() -> np.ndarray:
    """A second and a half that dies away over a floor, as a popped balloon does."""
    chance = np.random.default_rng(7)
    at_s = np.arange(int(1.5 * 48_000)) / 48_000
    noise = chance.standard_normal(len(at_s))
    return np.asarray(0.4 * noise * np.exp(-6.9 * np.maximum(at_s - 0.2, 0) / 0.55) * (at_s > 0.2))


def _recording() -> Any:
    """Twelve seconds of hum, a whine, hiss, a knock, clipping and a dropout, in two channels."""
    rate_hz, chance = 16_000, np.random.default_rng(3)
    at_s = np.arange(12 * rate_hz) / rate_hz
    sound = 0.004 * chance.standard_normal(len(at_s))
    for hz, level in ((50.1, 0.01), (100.2, 0.02), (150.3, 0.004), (3170.0, 0.003)):
        sound += level * np.sin(2 * np.pi * hz * at_s + hz)
    sound += 0.3 * np.exp(-8.0 * np.maximum(at_s - 4.1, 0)) * (at_s > 4.1) * np.sin(900 * at_s)
    sound[3 * rate_hz : 3 * rate_hz + 900] = 0.0
    both = np.stack([sound + 0.02, np.clip(9.0 * sound, -1.0, 1.0)], axis=1).astype(np.float32)
    blocks = np.array_split(both, 11)
    found = measure(blocks, rate_hz, 2, coding="integer", bits=16)
    return {"measured": found, "answer": recording_answer(found, (), 94.3, bits=16)}


OTHER_NEEDS = (
    {
        "topic": "when",
        "strength": "must",
        "dates": ["2026-06-20", "2026-06-22"],
        "from_time": "10:00",
        "until_time": "14:00",
    },
    {"topic": "access", "strength": "must", "steps": 4, "carry_m": 60, "door_width_m": 0.8},
    {"topic": "budget", "strength": "wish", "weight": 3, "amount": 260, "currency": "GBP"},
    {"topic": "permit", "strength": "wish", "weight": 2, "days": 9},
    {
        "topic": "travel",
        "strength": "wish",
        "weight": 1,
        "km": 70,
        "from_latitude_deg": 52.4,
        "from_longitude_deg": -1.1,
    },
    {"topic": "look", "strength": "wish", "weight": 1, "tags": ["brick"]},
    {"topic": "watts", "strength": "wish", "weight": 4, "watts": 3100},
    {"topic": "neighbours", "strength": "wish", "weight": 1},
)


def _chosen() -> Any:
    """The rooms as candidates for scenes of every kind."""
    place = _rooms()["street"].place or LocationRecord.read({"name": "Mill"})
    candidates = tuple(
        CandidateFacts(
            key,
            key,
            name,
            CandidateRecord.read({"state": "ruled_out" if name == "Stair hall" else "proposed"}),
            setup.place or place,
            setup.sheet.room,
            _found(setup),
            setup.sheet.kit,
            setup.noises,
            key // 2,
        )
        for key, (name, setup) in enumerate(_rooms().items())
    )
    scenes = [
        SceneRecord.read({"name": kind, "needs": list(needs)})
        for kind, needs in [*PRESETS.items(), ("rest", OTHER_NEEDS)]
    ]
    return [
        choose(scene, compare(scene, date(2026, 6, 20), candidates), candidates, date(2026, 6, 1))
        for scene in scenes
    ]


def _crowded() -> Any:
    """Eleven lights on two small circuits, one too large for any plug; and what would change it."""
    watts = (2400, 1950, 1200, 1200, 900, 660, 655, 440, 300, 290, 70)
    sheet = _typed(
        room__windows=[],
        room__circuits=[
            {"id": "K1", "volts": 230, "breaker_a": 10, "other_load_w": 410, "verified": True},
            {"id": "K2", "volts": 230, "breaker_a": 13, "other_load_w": 0, "verified": False},
        ],
        room__outlets=[
            {
                "id": "P1",
                "wall": "B",
                "offset_m": 0.63,
                "height_m": 0.31,
                "circuit": "K1",
                "sockets": 3,
            },
            {
                "id": "P2",
                "wall": "D",
                "offset_m": 2.17,
                "height_m": 0.29,
                "circuit": "K2",
                "sockets": 2,
            },
            {
                "id": "P3",
                "wall": "A",
                "offset_m": 4.41,
                "height_m": 0.3,
                "circuit": "K2",
                "sockets": 4,
            },
        ],
        kit__lights=[
            {
                "id": f"L{number}",
                "watts": load,
                "power_factor": 0.9,
                "at_m": [0.7 + 0.37 * number, 6.1 - 0.43 * number, 2.1],
                "soft_width_m": 0.3,
            }
            for number, load in enumerate(watts)
        ],
        kit__cables=[{"length_m": 10, "conductor_mm2": 1.0}, {"length_m": 25}, {"length_m": 5}],
        kit__chargers=[{"id": "batteries", "watts": 80}],
    )
    found = [
        assess_setup(Setup(_with_lights(sheet, some), date(2026, 5, 2)))
        for some in (range(11), (2, 3, 5, 7, 9))
    ]
    return [
        {"power": one.power, "findings": [row for row in one.findings if row.topic == "power"]}
        for one in found
    ]


def _with_lights(sheet: RoomSheet, some: Iterable[int]) -> RoomSheet:
    kit = sheet.kit
    assert kit is not None
    lights = tuple((kit.lights or ())[number] for number in some)
    return sheet.model_copy(update={"kit": kit.model_copy(update={"lights": lights})})


def _days() -> Any:
    """Days planned, and what clashes where a day is too short: what they cost, which is one number."""
    answers = []
    for seed in (1, 4):
        problem = drawn_day(seed, 4)
        found = plan(problem)
        answers.append((found.optimal, worth(problem, found.placed).cost if found.placed else None))
    tight = replace(drawn_day(2, 4), rules=Rules(crew_min=90, step_min=30, meal_min=0))
    return answers, sorted((row.kind, row.scene, row.day) for row in clash_of(tight).clash)


def _year() -> Any:
    sheet = _rooms()["street"].sheet
    days = [date(2026, 3, 20), date(2026, 3, 21)]
    return {
        "carpet": year_carpet(sheet, 2026, step_min=60),
        "steady": [steady_blocks(sheet, days, sky=sky) for sky in ("clear", "overcast")],
    }


def _kept() -> dict[str, dict[str, Leaf]]:
    """What was taken down, by path and situation."""
    return dict(json.loads(KEPT.read_text(encoding="utf-8")))


def moved(situation: str) -> list[str]:
    """The paths whose figures are not those taken down, with both."""
    now = drawn(SITUATIONS[situation]())
    kept = {path: row[situation] for path, row in _kept().items() if situation in row}
    return [
        f"{path}: {kept.get(path)} -> {now.get(path, (None,))[0]}"
        for path in sorted({*now, *kept})
        if path not in now or path not in kept or not _same(kept[path], *now[path])
    ]


def _same(kept: Leaf, now: Leaf, whole: float) -> bool:
    if isinstance(kept, str) or isinstance(now, str):
        return kept == now
    return abs(kept - now) <= TOLERANCE * whole + 1e-9


def main() -> None:
    """Take down anew what has moved; the rest stays as it was taken, for another machine's library
    of linear algebra turns its last digits.
    """
    rows, before = defaultdict[str, dict[str, Leaf]](dict), _kept()
    for situation, asked in SITUATIONS.items():
        for path, (line, whole) in drawn(asked()).items():
            was = before.get(path, {}).get(situation)
            stays = was is not None and _same(was, line, whole)
            now = line if isinstance(line, str) else float(f"{line:.9g}")
            rows[path][situation] = was if was is not None and stays else now
    lines = (f"{json.dumps(path)}: {json.dumps(row)}" for path, row in sorted(rows.items()))
    KEPT.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")


ROOMS = ("Stair hall", "Garden court", "KT000000", "Sun porch", "parlour", "street")
SITUATIONS: Mapping[str, Callable[[], Any]] = {
    "recording": _recording,
    **{name: partial(lambda name: _answered(_rooms()[name]), name) for name in ROOMS},
    "crowded": _crowded,
    "days": _days,
    "year": _year,
    "chosen": _chosen,
}

if __name__ == "__main__":
    main()
