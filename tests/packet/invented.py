"""Invented content of a packet: every kind of page, with facts missing here and there. Nothing in
it is a right value of anything.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone
from typing import Any

from PIL import Image, ImageDraw

from scout.assess import answers as a
from scout.assess.choice.cells import NeedCell
from scout.assess.choice.compare import ComparedCandidate, Comparison, NeedRow
from scout.drawing.charts.timeline import TimelineRoom, day_timeline
from scout.drawing.plan.sheet import room_plan
from scout.packet.book import Book, PacketResult, printed
from scout.packet.content import (
    CrewNote,
    PacketChange,
    PacketContent,
    PacketDay,
    PacketPhoto,
    PacketSetup,
    Paper,
)
from scout.packet.figures.build import figures_story
from scout.packet.figures.content import (
    FiguresContent,
    PacketComparison,
    PacketLocation,
    PacketRoom,
)
from scout.packet.setting.text import letter_width
from scout.records.kept import LocationRecord, Measurement, ProductionRecord, SceneRecord
from scout.records.sheet import Kit, Marks, RoomRecord, RoomSheet
from scout.units import Units
from scout.values import Figure, Name, names
from scout.words import Reader, reading

ZONE = timezone(timedelta(hours=1))
ON = date(2026, 6, 21)


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 6, 21, hour, minute, tzinfo=ZONE)


@dataclass(frozen=True, kw_only=True)
class Judged(a.Finding):
    """A finding of no family: it says `unknown:` and what it is given."""

    why: Name


def judged(level: a.Level, topic: str, why: str, *acts: a.Act) -> Judged:
    made = Judged(level=level, why=Name(why), acts=acts)
    object.__setattr__(made, "code", "value.why")
    object.__setattr__(made, "topic", topic)
    return made


BRING = a.act("bring.lead", lights=names(["key"]), lead=Figure(10.6, "m"))


def jpeg(width: int = 640, height: int = 480, colour: str = "#8a6d4b") -> bytes:
    picture = Image.new("RGB", (width, height), colour)
    ImageDraw.Draw(picture).rectangle(
        (width // 4, height // 4, width // 2, height // 2), fill="#dddddd"
    )
    held = io.BytesIO()
    picture.save(held, "JPEG")
    return held.getvalue()


def photo(
    name: str = "a.jpg", caption: str | None = "Window wall from the door", **kept: Any
) -> PacketPhoto:
    facts = ("taken 2026-05-03 10:40", "position not recorded")
    return PacketPhoto(name, lambda _: Image.open(io.BytesIO(jpeg(**kept))), caption, facts=facts)


def production(**kept: Any) -> ProductionRecord:
    facts = {
        "title": "The ferry letters",
        "client": "Harbour museum",
        "shoot_dates": ["2026-06-21", "2026-06-22"],
        "crew": [
            {
                "name": "Ada Okoro",
                "role": "director of photography",
                "phone": "+44 20 7946 0001",
                "call_time": "06:30",
            },
            {"name": "Jón Þórsson", "role": "sound"},
        ],
    }
    return ProductionRecord.read(facts | kept)


def location(**kept: Any) -> LocationRecord:
    facts = {
        "name": "Weir House",
        "address": "1 Example Lane\nLower Weir",
        "latitude_deg": 52.2053,
        "longitude_deg": 0.1197,
        "elevation_m": 15,
        "timezone": "Europe/London",
        "contacts": [
            {
                "name": "Mo Farrell",
                "role": "caretaker",
                "phone": "+44 20 7946 0002",
                "note": "rings back after nine",
            }
        ],
        "door_width_m": 0.83,
        "steps": 7,
        "has_lift": True,
        "lift_width_m": 1.1,
        "parking_distance_m": 40,
        "load_in": "Through the yard, ramp on the left.",
        "fee_amount": 450,
        "fee_currency": "GBP",
        "hazards": "Low beam over the stairs, 1.75 m.",
    }
    return LocationRecord.read(facts | kept)


def room(**kept: Any) -> RoomRecord:
    facts = {
        "name": "Long parlour",
        "setting": "interior",
        "storey": 0,
        "width_m": 5.0,
        "length_m": 6.5,
        "height_m": 2.7,
        "facing": {
            "wall": "A",
            "bearing_deg": 182,
            "north": "magnetic",
            "accuracy_deg": 5,
            "read_on": "2026-05-03",
        },
        "windows": [
            {
                "id": "W1",
                "wall": "A",
                "offset_m": 1.5,
                "sill_m": 0.9,
                "width_m": 2.0,
                "height_m": 1.5,
                "transmittance": 0.7,
            }
        ],
        "doors": [{"id": "D1", "wall": "C", "offset_m": 0.4, "width_m": 0.83, "height_m": 2.0}],
        "circuits": [
            {"id": "K1", "volts": 230, "breaker_a": 16, "other_load_w": 150, "verified": False}
        ],
        "outlets": [
            {
                "id": "P1",
                "wall": "B",
                "offset_m": 0.6,
                "height_m": 0.3,
                "circuit": "K1",
                "sockets": 2,
            },
            {"id": "P2", "wall": "D"},
        ],
        "noise": [
            {
                "id": "N1",
                "taken_at": "2026-05-03T10:40:00+01:00",
                "laeq_db": 34.0,
                "duration_s": 60,
                "method": "meter_class_2",
                "conditions": "fridge on, windows shut",
            }
        ],
    }
    return RoomRecord.read(facts | kept)


def kit() -> Kit:
    return Kit.read(
        {
            "lights": [{"id": "key", "watts": 300}],
            "mics": [{"id": "boom", "kind": "shotgun", "distance_m": 0.7}],
        }
    )


def assessment() -> a.RoomAssessment:
    return a.RoomAssessment(
        date=ON,
        sheet=RoomSheet(schema="room-sheet/1", room=room()),
        timezone="Europe/London",
        events=a.EventsAnswer(
            state="normal",
            dawn=at(3, 50),
            sunrise=at(4, 39),
            noon=at(13, 1),
            sunset=at(21, 24),
            dusk=at(22, 12),
            low_sun=((at(4, 5), at(5, 20)), (at(20, 40), at(21, 50))),
            day_length_min=1005.0,
        ),
        windows=(
            a.WindowSunAnswer(
                id="W1",
                facing_deg=183.2,
                facing_true=True,
                magnetic_correction_deg=1.2,
                direct_sun=((at(10, 12), at(15, 40)),),
                direct_sun_min=328,
                direct_sun_range=(
                    a.IntervalRange((at(10, 2), at(10, 22)), (at(15, 30), at(15, 50))),
                ),
                assumed=(Name("the glass is clean"),),
            ),
            a.WindowSunAnswer(id="W2", unknown=a.unmeasured("windows.W2.sill_m")),
        ),
        daylight=a.DaylightAnswer(
            marks={
                "subject": a.MarkDaylight(
                    daylight_factor_pct=1.9,
                    sky_component_pct=1.1,
                    overcast_lux_noon=410,
                    clear_lux_noon=900,
                )
            },
            needed_lux=250,
            enough_from=at(8),
            enough_until=at(18, 30),
            assumed=(Name("the ground outside reflects 0.2"),),
        ),
        bounce=(
            a.BounceAnswer(
                light="key",
                surface="ceiling",
                bounced_lux=320,
                cct_k=5420,
                duv=0.001,
                mired_shift=6.0,
                delta_e=1.4,
                loss_stops=3.1,
                risk="low",
                remedy="none needed",
            ),
            a.BounceAnswer(
                light="key",
                surface="C",
                delta_e=14.0,
                loss_stops=4.4,
                risk="high",
                remedy="hang a white sheet over the red wall",
            ),
            a.BounceAnswer(
                light="key", surface="D", unknown=Name("because its colour is not measured")
            ),
        ),
        surround=(
            a.SurroundAnswer(
                light="key",
                side="shadow",
                bounced_share=0.015,
                delta_e=0.7,
                risk="none",
                worst_surface="B",
            ),
        ),
        sound=a.SoundAnswer(
            laeq_db=34.0,
            nc=27,
            nc_set_by_hz=1000,
            rt60_s={"125": 0.6, "1000": 0.52},
            rt60_mid_s=0.55,
            rt60_range_s=(0.5, 0.7),
            placements=(
                a.MicAnswer(
                    mic="boom",
                    speech_db=63.1,
                    snr_db=29.1,
                    critical_distance_m=1.7,
                    verdict="clean",
                ),
                a.MicAnswer(mic="camera_mic", unknown=Name("because its distance is not measured")),
            ),
        ),
        power=a.PowerAnswer(
            feasible=True,
            circuits=(a.CircuitAnswer(id="K1", limit_a=12.8, load_a=2.03, share=0.159),),
            assignment=(
                a.AssignmentAnswer(
                    light="key", outlet="P1", circuit="K1", cable_m=6.2, volt_drop_pct=0.4
                ),
            ),
            unplaced=(a.Unplaced("fill", 3.2, Name("no circuit has that much left")),),
        ),
        fit=a.FitAnswer(
            framings=(
                a.FramingAnswer(
                    name="head_and_shoulders", focal_length_mm=50, distance_m=2.1, fits=True
                ),
                a.FramingAnswer(
                    name="wide",
                    focal_length_mm=24,
                    fits=False,
                    why=Name("the camera would stand 0.6 m behind wall C"),
                ),
            ),
            plan={
                "key": a.PlanLight(
                    light="key", at_m=(1.2, 1.6, 2.4), aim_m=(2.5, 3.0, 1.2), fits=True, lux=900
                )
            },
        ),
        findings=(
            judged("problem", "colour", "the red wall C turns a bounced key", BRING),
            judged("care", "sound", "34 dBA, 4 over what the interview needs, fridge on"),
            judged("unknown", "access", "the lift is not measured"),
            judged("outside", "power", "nothing to plug in"),
            judged("good", "light", "410 lux at the subject"),
        ),
        cautions=(Name("The low beam over the stairs stands at 1.75 m."),),
        blocks={
            "bounce": a.BlockNote(assumed=(Name("surfaces are matte"),)),
            "windows": a.BlockNote(),
            "surround": a.BlockNote(),
        },
        placements={},
    )


def packet_room(**kept: Any) -> PacketRoom:
    record = room()
    marks = Marks.read({"subject": [2.5, 3.0, 1.2], "camera": [2.5, 0.8, 1.4]})
    facts: dict[str, Any] = {
        "room": record,
        "marks": marks,
        "kit": kit(),
        "assessment": assessment(),
        "plan": room_plan(
            record,
            location=location().sheet_location,
            marks=marks,
            size_mm=(170.0, 150.0),
            text_width=letter_width(),
        ),
        "timeline": day_timeline(
            ON,
            [
                TimelineRoom(
                    "Long parlour", "Europe/London", assessment().events, assessment().windows
                )
            ],
            width_mm=170.0,
            text_width=letter_width(),
        ),
        "measurements": (
            Measurement.read(
                {
                    "path": "width_m",
                    "by": "Ada Okoro",
                    "at": "2026-05-03T10:40:00+01:00",
                    "how": "laser",
                }
            ),
        ),
    }
    return PacketRoom(**(facts | kept))


def comparison(candidates: int = 2) -> PacketComparison:
    scene = SceneRecord.read(
        {
            "name": "Interview with the ferryman",
            "seen": "One person by a window.",
            "heard": "Dialogue, nothing else.",
        }
    )
    heads = tuple(
        ComparedCandidate(
            n,
            n,
            f"Room {n}",
            "Weir House",
            "first_choice" if n == 1 else "reserve",
            None,
            "All musts known are met.",
            ON,
        )
        for n in range(1, candidates + 1)
    )
    cells = tuple(
        NeedCell(("pass", "care", "fail", "unknown")[n % 4], "34.0 dBA", "4 over the ceiling of 30")
        for n in range(candidates)
    )  # type: ignore[arg-type]
    rows = (
        NeedRow("noise", "noise at most 30 dBA", "must", None, cells),
        NeedRow("daylight", "daylight shut out", "wish", 3, cells),
    )
    return PacketComparison(scene, Comparison(scene.name, ON, heads, rows))


def content(**kept: Any) -> FiguresContent:
    facts: dict[str, Any] = {
        "production": production(),
        "locations": (PacketLocation(record=location(), rooms=(packet_room(),)),),
        "comparisons": (comparison(),),
    }
    return FiguresContent(**(facts | kept))


def crew_content(**kept: Any) -> PacketContent:
    """A day with one scene in one room."""
    place = kept.pop("place", location())
    sheet = RoomSheet.model_validate(
        {"schema": "room-sheet/1", "room": kept.pop("room", room()), "kit": kit()}
    )
    of_setup: dict[str, Any] = {
        "key": "setup-1",
        "scene": SceneRecord.read({"name": "Interview with the ferryman", "heard": "Dialogue."}),
        "date": ON,
        "hours": (at(10), at(12)),
        "framing": None,
        "lens_mm": None,
        "state": "first_choice",
        "reason": None,
        "place": place,
        "sheet": sheet,
        "found": assessment(),
        "photos": (photo(), photo("b.jpg", "Fireplace", width=480, height=640)),
        "notes": (CrewNote("Keep the shutters half closed.", "Ada Okoro", "3 May 2026, 10:40"),),
    }
    setup = PacketSetup(**(of_setup | kept.pop("setup", {})))
    day = PacketDay(
        key="day-1", date=ON, place=place, setups=(setup,), emergency=("999", "112"), country="GB"
    )
    facts: dict[str, Any] = {
        "edition": "whole",
        "production": production(),
        "revision": 2,
        "printed": Name("12 May 2026, 18:20"),
        "changes": (PacketChange("Long parlour", Name("noise measured again")),),
        "changes_since": Name("revision 1, 4 May 2026"),
        "prepared_by": "Ada Okoro",
        "days": (day,),
    }
    return PacketContent(**(facts | kept))


def render_packet(
    given: FiguresContent, paper: Paper = "a4", units: Units = "metric"
) -> tuple[bytes, PacketResult]:
    """The edition of figures, as bytes."""
    book = Book(
        title="Figures",
        subject="Figures",
        author="Ada Okoro",
        short=given.production.title,
        revision="rev 2",
        paper=paper,
        names=[given.production.title],
    )
    with reading(Reader(units)):
        return printed(book, lambda desk: figures_story(desk, given))
