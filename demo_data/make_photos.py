"""Draw the photos of the demonstration into demo_data/photos/, with the times, places and bearings
cameras would have written.

Run from the checkout: python demo_data/make_photos.py [part of a file name ...]

The rooms are those of scenario.json, seen in perspective; nobody and nothing real is in them. What
the table below leaves out of a
photo is left out on purpose: some cameras know no place, some no offset from UTC, some nothing
    at all.
"""

from __future__ import annotations

import io
import json
import sys
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image, TiffImagePlugin

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent)]

from room_painter import Box, Opening, Scene, View, paint  # noqa: E402

from scout.calc.daylight.sun.position import sun_position  # noqa: E402
from scout.calc.geometry import rectangle_m, walls  # noqa: E402
from scout.calc.magnetic import declination  # noqa: E402

SIZE, GRAIN = (1600, 1200), 1.1
MOST_BYTES = 118_000


@dataclass(frozen=True)
class Shot:
    """One photo. looks_deg is in the plan (0 is up the page, clockwise); `writes` is what the
    camera records:
    t time, z its offset from UTC, p place, b true bearing, m magnetic bearing, s stored sideways
    with an orientation."""

    file: str
    room: str
    at_m: tuple[float, float, float]
    looks_deg: float
    taken: str
    writes: str
    caption: str
    cloudy: bool = False
    lit: bool = False
    upright: bool = False


SHOTS = (
    Shot(
        "tannery_front_parlour_1.jpg",
        "Front parlour",
        (2.2, 0.6, 1.5),
        0,
        "2026-04-18T10:42:10+01:00",
        "tzpm",
        "Street windows from the door wall",
    ),
    Shot(
        "tannery_front_parlour_2.jpg",
        "Front parlour",
        (0.5, 4.9, 1.5),
        140,
        "2026-04-18T10:43:25+01:00",
        "tzpm",
        "Bench and door, windows behind the camera",
    ),
    Shot(
        "tannery_front_parlour_3.jpg",
        "Front parlour",
        (3.9, 0.7, 1.5),
        330,
        "2026-04-18T15:31:02+01:00",
        "tzp",
        "Lamp on, mid afternoon",
        lit=True,
    ),
    Shot(
        "tannery_back_kitchen_1.jpg",
        "Back kitchen",
        (1.6, 0.4, 1.5),
        0,
        "2026-04-18T10:54:40+01:00",
        "tzpm",
        "Sink wall and window",
    ),
    Shot(
        "tannery_back_kitchen_2.jpg",
        "Back kitchen",
        (0.5, 3.5, 1.5),
        145,
        "2026-04-18T10:55:31+01:00",
        "t",
        "Both doors, fridge at the right edge",
    ),
    Shot(
        "tannery_stair_hall_1.jpg",
        "Stair hall",
        (1.3, 0.5, 1.6),
        352,
        "2026-04-18T11:08:00+01:00",
        "tzp",
        "Along the hall",
        cloudy=True,
        lit=True,
    ),
    Shot(
        "tannery_stair_hall_2.jpg",
        "Stair hall",
        (0.7, 5.6, 1.6),
        176,
        "2026-04-18T11:09:12+01:00",
        "tzs",
        "Down the hall to the door",
        cloudy=True,
        upright=True,
    ),
    Shot(
        "guild_main_hall_1.jpg",
        "Main hall",
        (4.6, 0.8, 1.7),
        0,
        "2026-04-19T09:40:00+01:00",
        "tzpb",
        "From the doors to the stage",
    ),
    Shot(
        "guild_main_hall_2.jpg",
        "Main hall",
        (1.2, 13.5, 1.7),
        150,
        "2026-04-19T09:43:30+01:00",
        "tzpb",
        "Beside the stage to the doors, morning sun",
    ),
    Shot(
        "guild_main_hall_3.jpg",
        "Main hall",
        (8.4, 2.0, 1.7),
        325,
        "2026-04-19T16:20:00+01:00",
        "t",
        "West windows with their sheers",
        cloudy=True,
    ),
    Shot(
        "guild_main_hall_4.jpg",
        "Main hall",
        (4.6, 4.2, 1.6),
        0,
        "2026-04-19T09:46:00+01:00",
        "tzpb",
        "From the camera mark, lamps on",
        lit=True,
    ),
    Shot(
        "guild_committee_room_1.jpg",
        "Committee room",
        (0.6, 0.6, 1.5),
        35,
        "2026-04-19T10:25:00+01:00",
        "tzpb",
        "Both arms of the room",
    ),
    Shot(
        "guild_committee_room_2.jpg",
        "Committee room",
        (1.7, 5.7, 1.5),
        160,
        "2026-04-19T10:26:20+01:00",
        "tzpb",
        "From one arm into the other",
        lit=True,
    ),
    Shot(
        "guild_committee_room_3.png",
        "Committee room",
        (5.5, 0.5, 1.5),
        300,
        "2026-04-19T10:28:00+01:00",
        "",
        "Sent by the caretaker; its time is not known",
    ),
    Shot(
        "kowhai_studio_loft_1.heic",
        "Studio loft",
        (2.6, 0.7, 1.5),
        0,
        "2026-10-03T10:48:00+13:00",
        "tzpm",
        "The long north window",
    ),
    Shot(
        "kowhai_studio_loft_2.jpg",
        "Studio loft",
        (4.7, 6.8, 1.5),
        205,
        "2026-10-03T10:49:30+13:00",
        "tzpm",
        "Back to the door from the window",
    ),
    Shot(
        "kowhai_studio_loft_3.jpg",
        "Studio loft",
        (0.7, 2.0, 1.5),
        40,
        "2026-10-03T17:30:00+13:00",
        "tzpm",
        "East window, end of the day",
        lit=True,
    ),
    Shot(
        "kowhai_sun_porch_1.jpg",
        "Sun porch",
        (1.3, 0.5, 1.5),
        0,
        "2026-10-03T12:05:00+13:00",
        "tzpm",
        "Glass on two sides",
    ),
    Shot(
        "kowhai_sun_porch_2.jpg",
        "Sun porch",
        (0.5, 4.2, 1.5),
        155,
        "2026-10-03T12:06:40+13:00",
        "tzp",
        "To the house door; wall C is not painted yet",
    ),
    Shot(
        "kowhai_garden_court_1.jpg",
        "Garden court",
        (4.0, 1.2, 1.6),
        0,
        "2026-10-03T12:26:00+13:00",
        "tzpm",
        "From the steps",
    ),
    Shot(
        "kowhai_garden_court_2.jpg",
        "Garden court",
        (7.4, 8.2, 1.6),
        215,
        "2026-10-03T12:27:15+13:00",
        "tzpm",
        "Back to the steps",
    ),
    Shot(
        "kowhai_garden_court_3.jpg",
        "Garden court",
        (0.8, 4.0, 1.6),
        85,
        "2026-10-03T12:29:50+13:00",
        "tzpm",
        "Across the path; cloud came over",
        cloudy=True,
    ),
    Shot(
        "tannery_outside_1.jpg",
        "the street",
        (4.0, 1.5, 1.6),
        10,
        "2026-04-18T09:58:00+01:00",
        "tzp",
        "Tannery Row from the chapel",
        cloudy=True,
    ),
    Shot(
        "guild_outside_1.jpg",
        "the yard",
        (6.0, 1.0, 1.6),
        350,
        "2026-04-19T09:20:00+01:00",
        "tzpb",
        "The yard, four vans",
    ),
)


def table(
    x0: float, y0: float, x1: float, y1: float, high: float, colour: str, leg: float = 0.07
) -> tuple[Box, ...]:
    """A table: a top on four legs."""
    feet = ((x, y) for x in (x0, x1 - leg) for y in (y0, y1 - leg))
    return (x0, y0, high - 0.05, x1, y1, high, colour), *(
        (x, y, 0, x + leg, y + leg, high - 0.05, colour) for x, y in feet
    )


def chair(x: float, y: float, colour: str) -> tuple[Box, ...]:
    """A chair with its back towards the plan's foot: seat, back, two sides."""
    return (
        (x, y, 0.4, x + 0.44, y + 0.44, 0.46, colour),
        (x, y, 0.46, x + 0.44, y + 0.05, 0.9, colour),
        (x, y, 0, x + 0.04, y + 0.44, 0.4, colour),
        (x + 0.4, y, 0, x + 0.44, y + 0.44, 0.4, colour),
    )


# What stands in each room; its sheet knows of the large tables alone, as a scout would write them
# down.
FURNITURE: dict[str, tuple[Box, ...]] = {
    "Front parlour": (
        (0, 1.6, 0, 0.35, 3.2, 1.15, "#d8d2c4"),
        (0, 1.95, 0.1, 0.37, 2.85, 0.85, "#2b2725"),
        *table(3.2, 2.2, 4.1, 4.0, 0.76, "#7b5638"),
        *chair(2.4, 2.9, "#a08b62"),
        (0.1, 4.6, 0, 0.6, 5.4, 1.9, "#5b4030"),
    ),
    "Back kitchen": (
        (0, 3.5, 0, 3.2, 4.1, 0.9, "#d9d4c8"),
        (0, 1.2, 0, 0.6, 3.5, 0.9, "#d9d4c8"),
        (0, 0.3, 0, 0.65, 1.0, 1.75, "#f0f0ee"),
        (1.3, 3.55, 0.9, 1.9, 3.95, 0.91, "#8d9296"),
    ),
    "Stair hall": tuple(
        (
            1.2,
            2.2 + 0.24 * i,
            0,
            2.1,
            2.44 + 0.24 * i,
            0.18 * (i + 1),
            "#8a6a4a" if i % 2 else "#7d5f42",
        )
        for i in range(13)
    ),
    "Main hall": (
        (1.6, 12.6, 0, 7.6, 15.5, 0.8, "#6b4a30"),
        *table(6.0, 6.4, 7.8, 7.3, 0.76, "#5f4630"),
        *chair(2.2, 6.0, "#7c2f2a"),
        *chair(3.4, 6.0, "#7c2f2a"),
        *chair(4.9, 9.2, "#7c2f2a"),
    ),
    "Committee room": (
        *table(1.0, 3.9, 2.4, 5.2, 0.74, "#8b6f4e"),
        *table(3.3, 1.2, 5.0, 2.2, 0.74, "#8b6f4e"),
        *chair(1.5, 3.3, "#3f4a52"),
        (5.6, 0.3, 0, 5.95, 3.0, 1.9, "#6f665a"),
    ),
    "Studio loft": (
        *table(0.05, 3.0, 0.9, 6.0, 0.78, "#b89a6c"),
        *chair(2.4, 4.4, "#3f5a66"),
        (4.6, 1.0, 0, 5.2, 3.2, 2.0, "#e7e2d6"),
    ),
    "Sun porch": (
        (1.9, 1.6, 0, 2.5, 3.0, 0.45, "#4c6b57"),
        (0.2, 4.1, 0, 0.8, 4.6, 0.6, "#a56d42"),
        (0.3, 4.2, 0.6, 0.7, 4.5, 1.15, "#3f6b3a"),
    ),
    "Garden court": (
        (6.4, 3.2, 0, 6.9, 5.0, 0.45, "#8f7453"),
        (0.2, 6.5, 0, 1.6, 8.8, 1.1, "#3c5b2d"),
        (7.6, 6.4, 0, 8.4, 8.6, 0.8, "#4d6e35"),
        (1.0, 2.0, 0, 1.5, 2.5, 0.7, "#9a5a3c"),
    ),
    "the street": (
        (0, 2, 0, 0.4, 26, 5.6, "#8b5546"),
        (8.6, 2, 0, 9, 26, 5.6, "#9a6a54"),
        (6.2, 8, 0, 7.9, 12, 1.4, "#5a6f86"),
        (6.2, 15, 0, 7.9, 19, 1.5, "#b9b4aa"),
    ),
    "the yard": (
        (1.0, 9.0, 0, 3.0, 14.0, 2.4, "#e9e9e6"),
        (4.0, 9.0, 0, 6.0, 14.0, 2.4, "#4f5d6b"),
        (0, 18, 0, 12, 18.5, 6.5, "#b5a184"),
        (8.2, 17.9, 0, 9.8, 18.0, 2.3, "#5b4630"),
    ),
}
BARE = {
    "A": "#e5e0d2",
    "B": "#e5e0d2",
    "C": "#d9c9b8",
    "D": "#e5e0d2",
    "E": "#e5e0d2",
    "F": "#e0dccf",
    "ceiling": "#f4f2ec",
    "floor": "#8a6a4a",
}


def main(wanted: list[str]) -> None:
    scenario = json.loads((HERE / "scenario.json").read_text(encoding="utf-8"))
    rooms = {
        plain["room"]["name"]: (place["location"], plain["room"])
        for place in scenario["locations"]
        for plain in place["rooms"]
    }
    tannery, guild = (scenario["locations"][i]["location"] for i in (0, 1))
    ground = {"setting": "exterior", "surfaces": {"floor": {"colour": {"srgb": "#8d8b86"}}}}
    rooms["the street"] = (
        tannery,
        ground
        | {
            "name": "the street",
            "width_m": 9,
            "length_m": 40,
            "facing": {"wall": "A", "bearing_deg": 100, "north": "true"},
        },
    )
    rooms["the yard"] = (
        guild,
        ground
        | {
            "name": "the yard",
            "width_m": 12,
            "length_m": 19,
            "facing": {"wall": "A", "bearing_deg": 11, "north": "true"},
        },
    )
    (HERE / "photos").mkdir(exist_ok=True)
    for number, shot in enumerate(SHOTS):
        if not wanted or any(part in shot.file for part in wanted):
            data = photo(shot, *rooms[shot.room], number)
            (HERE / "photos" / shot.file).write_bytes(data)
            print(f"{shot.file:32} {len(data) / 1000:7.1f} kB")
    captions = {shot.file: shot.caption for shot in SHOTS}
    (HERE / "captions.json").write_text(
        json.dumps(captions, indent=1, ensure_ascii=False) + "\n", encoding="utf-8"
    )


def photo(shot: Shot, place: dict[str, Any], room: dict[str, Any], number: int) -> bytes:
    """The file of one photo."""
    at = datetime.fromisoformat(shot.taken)
    east_deg = declination(place["latitude_deg"], place["longitude_deg"], at.date()).degrees or 0.0
    scene = replace(scene_of(room, east_deg), lamps_lit=shot.lit)
    bearing_deg = (scene.north_deg + shot.looks_deg) % 360
    sun = sun_position(at, latitude_deg=place["latitude_deg"], longitude_deg=place["longitude_deg"])
    size = (960, 720) if shot.file.endswith(".png") else SIZE
    if shot.upright:
        size = size[::-1]
    view = View(
        shot.at_m,
        bearing_deg,
        tilt_deg=-8.0 if shot.upright else -4.0,
        field_deg=58.0 if shot.upright else 76.0,
    )
    image = paint(
        scene,
        view,
        (sun.elevation_deg, sun.azimuth_deg),
        shot.cloudy,
        size,
        0 if shot.file.endswith(".png") else GRAIN,
        number,
    )
    block = exif_of(shot, place, bearing_deg, east_deg, number)
    if "s" in shot.writes:
        image = image.transpose(Image.Transpose.ROTATE_90)
    out = io.BytesIO()
    if shot.file.endswith(".heic"):
        pillow_heif.from_pillow(image).save(out, quality=52, exif=block)
    elif shot.file.endswith(".png"):
        image.quantize(96, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    else:
        for quality in (78, 74, 70, 66, 62):
            out = io.BytesIO()
            image.save(out, "JPEG", quality=quality, optimize=True, progressive=True, exif=block)
            if out.tell() <= MOST_BYTES:
                break
    return out.getvalue()


def scene_of(room: dict[str, Any], east_deg: float) -> Scene:
    """The room of a sheet as something to paint; what the sheet has not measured gets a plain
    stand-in for the picture alone.
    """
    plan = (
        np.array(room["plan_m"], float)
        if room.get("plan_m")
        else rectangle_m(room["width_m"], room["length_m"])
    )
    sides = walls(plan)
    number = {wall.letter: i for i, wall in enumerate(sides)}
    colours = dict(BARE)
    for name, surface in room.get("surfaces", {}).items():
        if surface.get("colour"):
            colours[name] = surface["colour"]["srgb"]
    outside = room["setting"] == "exterior"
    facing = room.get("facing") or {"wall": "A", "bearing_deg": 16, "north": "true"}
    outward = sides[number[facing["wall"]]].outward
    looks_out_deg = facing["bearing_deg"] + (east_deg if facing["north"] == "magnetic" else 0.0)
    materials = {
        name: surface.get("material", "") for name, surface in room.get("surfaces", {}).items()
    }
    floor = materials.get("floor", "wood_floor")
    kinds = {"tile_or_marble": "tiles", "carpet_closed_foam": "carpet", "wood_floor": "boards"}
    return Scene(
        plan_m=plan,
        height_m=(1.5 if room["name"] == "Garden court" else 0.9)
        if outside
        else room.get("height_m") or 2.7,
        wall_colours=tuple("#7a6650" if outside else colours[wall.letter] for wall in sides),
        floor=colours["floor"],
        ceiling=colours["ceiling"],
        floor_kind=("grass" if room["name"] == "Garden court" else "tiles")
        if outside
        else kinds.get(floor, "boards"),
        windows=tuple(
            Opening(
                number[w["wall"]],
                w["offset_m"],
                w["sill_m"],
                w["width_m"],
                w["height_m"],
                w.get("covering"),
            )
            for w in room.get("windows", [])
        ),
        doors=tuple(
            Opening(number[d["wall"]], d["offset_m"], 0.0, d["width_m"], d["height_m"])
            for d in room.get("doors", [])
        ),
        lamps_m=tuple(tuple(p["at_m"]) for p in room.get("practicals", [])),
        boxes=FURNITURE.get(room["name"], ()),
        tiled_walls=frozenset(
            number[k] for k, m in materials.items() if k in number and m == "tile_or_marble"
        ),
        ceiling_grid=materials.get("ceiling") == "ceiling_tile",
        open_sky=outside,
        north_deg=float(looks_out_deg - np.degrees(np.arctan2(outward[0], outward[1]))) % 360,
    )


def exif_of(
    shot: Shot, place: dict[str, Any], bearing_deg: float, east_deg: float, number: int
) -> bytes:
    """The EXIF block a camera would write that records what `writes` says."""
    at = datetime.fromisoformat(shot.taken)
    block = Image.Exif()
    block[0x0112] = 6 if "s" in shot.writes else 1
    block[0x010E] = "Drawn for the demonstration; no real place"
    camera = block.get_ifd(0x8769)
    if "t" in shot.writes:
        camera[0x9003] = camera[0x9004] = at.strftime("%Y:%m:%d %H:%M:%S")
    if "z" in shot.writes:
        camera[0x9011] = f"{shot.taken[-6:]}"
    gps = block.get_ifd(0x8825)
    if "p" in shot.writes:
        # A few metres off, each photo elsewhere, as receivers are indoors.
        latitude_deg = place["latitude_deg"] + (number % 5 - 2) * 4e-5
        longitude_deg = place["longitude_deg"] + (number % 7 - 3) * 4e-5
        gps[1], gps[2] = "N" if latitude_deg > 0 else "S", _sexagesimal(latitude_deg)
        gps[3], gps[4] = "E" if longitude_deg > 0 else "W", _sexagesimal(longitude_deg)
        if place.get("elevation_m") is not None:
            gps[5], gps[6] = b"\0", _ratio(place["elevation_m"] + number % 3, 10)
    if "b" in shot.writes or "m" in shot.writes:
        magnetic = "m" in shot.writes
        gps[16], gps[17] = (
            "M" if magnetic else "T",
            _ratio(round((bearing_deg - (east_deg if magnetic else 0)) % 360, 1), 10),
        )
    return block.tobytes()


def _ratio(value: float, below: int) -> TiffImagePlugin.IFDRational:
    return TiffImagePlugin.IFDRational(round(value * below), below)


def _sexagesimal(degrees: float) -> tuple[TiffImagePlugin.IFDRational, ...]:
    hundredths = round(abs(degrees) * 360_000)
    return (
        _ratio(hundredths // 360_000, 1),
        _ratio(hundredths // 6000 % 60, 1),
        _ratio(hundredths % 6000 / 100, 100),
    )


if __name__ == "__main__":
    main(sys.argv[1:])
