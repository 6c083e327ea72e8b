"""The demonstration: an invented scenario read from `demo_data/` into an empty data folder."""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from scout.errors import Refused
from scout.records import (
    CandidateRecord,
    LocationRecord,
    Measurement,
    NoteRecord,
    Person,
    PhotoRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.records.day import DayRecord, SceneTime
from scout.records.sheet import Marks
from scout.records.sounds import NoiseWindowRecord, RecordingRecord
from scout.settings import Settings
from scout.store.files import write_bytes
from scout.usecases import (
    days,
    locations,
    noise_windows,
    notes,
    people,
    photos,
    productions,
    recordings,
    rooms,
)
from scout.usecases.work import Who, Work
from scout.values import said

Progress = Callable[[int, int], None]
YEAR = timedelta(weeks=52)  # the same weekdays, and the sun where it stood within half a degree
MARKER = "demonstration.json"  # in the data folder: what each scene is there to show


def demonstrated(settings: Settings) -> tuple[tuple[str, str], ...]:
    """(a scene's name, what it is there to show) where the data folder was made by `load_demo`;
    empty in every other.
    """
    try:
        listed = json.loads((settings.data_dir / MARKER).read_text(encoding="utf-8"))
        return tuple((str(name), str(shows)) for name, shows in listed)
    except (OSError, ValueError, TypeError):  # an aid to reading, no fact: without it pages go on
        return ()


def to_come(scenario: dict[str, Any], today: date) -> dict[str, Any]:
    """The scenario with each day of shooting that is past moved by whole years of 52 weeks: all days
    of the demonstration are to come. What was read stays when it was.
    """
    return scenario | {part: _moved(scenario[part], today) for part in ("production", "scenes")}


def _moved(plain: Any, today: date) -> Any:
    """What JSON gave with each day the first of its years that is not past; lists of days in order."""
    if isinstance(plain, dict):
        return {key: _moved(value, today) for key, value in plain.items()}
    if isinstance(plain, list):
        moved = [_moved(value, today) for value in plain]
        return moved if moved == plain or not all(map(_day, moved)) else sorted(moved)
    day = _day(plain)
    return plain if day is None else (day + max(0, -((day - today) // YEAR)) * YEAR).isoformat()


def _day(plain: Any) -> date | None:
    """The day that a text is; None for an hour, a name, a sentence."""
    try:
        return date.fromisoformat(plain)
    except (TypeError, ValueError):
        return None


def load_demo(
    work: Work, folder: Path, progress: Progress | None = None, today: date | None = None
) -> tuple[str, str, int]:
    """Load the scenario, its days `to_come` when today is said; returns the address and password of
    its login and the production's key.

    The password is made anew each time: a demonstration left running has no password that is
        known to everybody.
    Raises Refused when somebody can log in already: the demonstration is for an empty folder.
    """
    if people.any_person(work):
        raise Refused(
            "data folder",
            str(work.settings.data_dir),
            said("kept.folder_in_use"),
        )
    scenario = json.loads((folder / "scenario.json").read_text(encoding="utf-8"))
    if today is not None:
        scenario = to_come(scenario, today)
    heard = folder / "recordings.json"
    sounds: dict[str, Any] = (
        json.loads(heard.read_text(encoding="utf-8")) if heard.is_file() else {}
    )
    person, password = Person.read(scenario["person"]), secrets.token_urlsafe(9)
    work.who = Who(people.add_person(work, person, password), person.name, person.email, "owner")
    steps = sum(len(place["rooms"]) for place in scenario["locations"]) + len(scenario["scenes"])
    done, keys = 0, {}
    for place in scenario["locations"]:
        location_id = locations.add_location(
            work, LocationRecord.read(place["location"], "location")
        )
        _add_notes(work, "location", location_id, place["notes"])
        _add_photos(work, "location", location_id, folder, place["photos"])
        for noise in sounds.get("noises", {}).get(place["location"]["name"], ()):
            noise_windows.add_noise_window(
                work, location_id, NoiseWindowRecord.read(noise, "noise")
            )
        for room in place["rooms"]:
            name = room["room"]["name"]
            keys[name] = _add_room(work, location_id, room, folder)
            _add_recordings(work, keys[name], folder, sounds, name)
            done += 1
            if progress:
                progress(done, steps)
    production_id = productions.add_production(
        work, ProductionRecord.read(scenario["production"], "production")
    )
    times, marked = list[SceneTime](), list[tuple[str, str]]()
    for scene in scenario["scenes"]:
        scene_id = productions.add_scene(
            work, production_id, SceneRecord.read(scene["scene"], "scene")
        )
        for name, state, reason in scene["candidates"]:
            productions.add_candidate(
                work, scene_id, keys[name], CandidateRecord(state=state, reason=reason)
            )
        marked.append((scene["scene"]["name"], scene["shows"]))
        times.append(SceneTime(scene_id=scene_id, length_min=scene["length_min"]))
        done += 1
        if progress:
            progress(done, steps)
    days.save_day(work, production_id, 0, DayRecord(scenes=tuple(times)))
    write_bytes(work.settings.data_dir / MARKER, json.dumps(marked).encode())
    return person.email, password, production_id


def _add_room(work: Work, location_id: int, plain: dict[str, Any], folder: Path) -> int:
    room_id = rooms.add_room(work, location_id, RoomRecord.read(plain["room"], "room"))
    if "marks" in plain:
        rooms.save_marks(work, room_id, 1, Marks.read(plain["marks"], "marks"))
    for measurement in plain["measured"]:
        rooms.add_measurement(work, room_id, Measurement.read(measurement, "measured"))
    _add_notes(work, "room", room_id, plain["notes"])
    _add_photos(work, "room", room_id, folder, plain["photos"])
    return room_id


def _add_notes(work: Work, owner: str, owner_id: int, listed: list[list[str]]) -> None:
    for audience, text in listed:
        notes.add_note(
            work, owner, owner_id, NoteRecord.read({"text": text, "audience": audience}, "note")
        )


def _add_photos(work: Work, owner: str, owner_id: int, folder: Path, prefixes: list[str]) -> None:
    captions = (
        json.loads((folder / "captions.json").read_text(encoding="utf-8"))
        if (folder / "captions.json").is_file()
        else {}
    )
    for prefix in prefixes:
        for path in sorted((folder / "photos").glob(f"{prefix}_*")):
            with path.open("rb") as file:
                added = photos.add_photo(work, owner, owner_id, file, path.name)
            if path.name in captions:
                kept = photos.photo_kept(work, added.id)
                photos.save_photo(
                    work,
                    added.id,
                    kept.version,
                    PhotoRecord.model_validate(
                        {**kept.record.model_dump(), "caption": captions[path.name]}
                    ),
                )


def _add_recordings(
    work: Work, room_id: int, folder: Path, sounds: dict[str, Any], name: str
) -> None:
    for plain in sounds.get("rooms", {}).get(name, ()):
        said = {key: plain[key] for key in ("purpose", "conditions", "taken_at")}
        if plain["calibrated"]:
            said |= {
                "calibration_db": sounds["calibration_db"],
                "calibration_by": sounds["calibration_by"],
            }
        with (folder / "recordings" / plain["file"]).open("rb") as file:
            key = recordings.add_recording(
                work, room_id, file, plain["file"], RecordingRecord.read(said, "recording")
            )
        recordings.measure_recording(work, key)
