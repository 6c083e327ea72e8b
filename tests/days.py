"""A production over two rooms, two zones and a night on which the clocks change, for tests."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from scout import places
from scout.records import (
    CandidateRecord,
    LocationRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.records.day import DayRecord, SceneTime
from scout.records.sounds import NoiseWindowRecord
from scout.usecases import days, locations, noise_windows, productions, rooms
from scout.usecases.demo import load_demo
from scout.usecases.work import Work

OPEN = {"week": [{"first": "mon", "last": "sun", "opens": "09:00", "closes": "18:00"}]}


def bare_demo(work: Work, folder: Path) -> tuple[str, str, int]:
    """The demonstration without photos and recordings: the address and password of its login, and
    its production's key.
    """
    folder.mkdir()
    shutil.copy(places.DEMO_DATA / "scenario.json", folder / "scenario.json")
    heard = json.loads((places.DEMO_DATA / "recordings.json").read_text(encoding="utf-8"))
    noises = json.dumps({"noises": heard["noises"]})
    (folder / "recordings.json").write_text(noises, encoding="utf-8")
    return load_demo(work, folder)


def house(work: Work, name: str, **facts: object) -> int:
    """A room in a house that opens from 09:00 to 18:00; returns the room's key."""
    place = locations.add_location(
        work,
        LocationRecord.read(
            {
                "name": name,
                "latitude_deg": 52.6,
                "longitude_deg": 1.3,
                "timezone": "Europe/London",
                "opening_hours": OPEN,
                **facts,
            }
        ),
    )
    if name == "Mill":
        noise_windows.add_noise_window(
            work,
            place,
            NoiseWindowRecord(what="school out", from_time="12:00", until_time="12:30"),
        )
    return rooms.add_room(work, place, RoomRecord(name=f"{name} room", setting="interior"))


def scene(
    work: Work, job: int, room: int, name: str, on: str, hours: tuple[str, str] | None = None
) -> int:
    """A scene with its room chosen; returns its key."""
    when: dict[str, object] = {"topic": "when", "strength": "must", "dates": [on]}
    if hours is not None:
        when |= {"from_time": hours[0], "until_time": hours[1]}
    noise = {"topic": "noise", "strength": "must", "laeq_db": 35}
    key = productions.add_scene(work, job, SceneRecord.read({"name": name, "needs": [when, noise]}))
    productions.add_candidate(work, key, room, CandidateRecord(state="first_choice"))
    return key


def film(work: Work, **typed: object) -> tuple[int, list[int]]:
    """Two scenes on the night of 25 October 2026 (British clocks go back at 02:00) and one in
    Auckland two days later; returns the production's and the scenes' keys.
    """
    mill, barn = house(work, "Mill"), house(work, "Barn", latitude_deg=52.7)
    far = house(
        work, "Terrace", latitude_deg=-41.3, longitude_deg=174.77, timezone="Pacific/Auckland"
    )
    job = productions.add_production(
        work,
        ProductionRecord.read(
            {
                "title": "Film",
                "shoot_dates": ["2026-10-25", "2026-10-28"],
                "crew": [{"name": "Ida", "role": "camera"}, {"name": "Rua", **typed}],
            }
        ),
    )
    keys = [
        scene(work, job, mill, "Talk", "2026-10-25", ("09:00", "13:00")),
        scene(work, job, barn, "Walk", "2026-10-25"),
        scene(work, job, far, "Letters", "2026-10-28", ("10:00", "12:00")),
    ]
    times = tuple(
        SceneTime(scene_id=key, length_min=length)
        for key, length in zip(keys, (90, 60, 60), strict=True)
    )
    days.save_day(work, job, 0, DayRecord(scenes=times))
    return job, keys
