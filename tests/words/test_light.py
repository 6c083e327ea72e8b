"""Light and sun as they are said, in both units."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time
from zoneinfo import ZoneInfo

from scout.assess.answers import act, unmeasured
from scout.assess.daylight.findings import Enough, Short, TooBright
from scout.calc.geometry import wall_letters
from scout.values import Figure, Spell, Word, said, words
from scout.words import Reader, act_line, full, line, reading

NOON = datetime(2026, 6, 21, 13, 0, tzinfo=ZoneInfo("Europe/London"))
SIDE = Word("plane", "camera")
NEEDED = Figure(122.5, "lux")
SETTING = said(
    "light.setting",
    iso=Figure(800, "iso"),
    stop=Figure(2.8, "f"),
    shutter=Figure(0.02, "shutter_s"),
)


def test_a_line_is_rounded_and_the_full_sentence_is_not() -> None:
    short = Short(
        level="problem",
        short=Figure(3.62, "stops"),
        sun=None,
        plane=SIDE,
        at=NOON,
        needed=NEEDED,
        setting=SETTING,
    )
    with reading(Reader()):
        assert line(short) == "Daylight is 3½ stops short at 13:00, for ISO 800, f/2.8, 1/50 s"
        assert full(short) == (
            "On the side that the camera sees daylight is 3.6 stops short at 13:00 under an"
            " overcast sky; the camera needs 123 lux for ISO 800, f/2.8, 1/50 s"
        ).replace("3.6 stops", f"{short.short}").replace("123 lux", f"{NEEDED}")


def test_stops_are_over_or_short_and_never_below_nought() -> None:
    enough = Enough(
        level="care",
        spell=Spell(NOON, NOON.replace(hour=15)),
        plane=SIDE,
        at=NOON.replace(hour=10),
        cloud=Figure(-0.2, "stops"),
        sun=Figure(1.3, "stops"),
    )
    with reading(Reader()):
        assert line(enough) == "Daylight is only just enough 13:00 to 15:00"
        assert line(replace(enough, level="good")) == "Daylight is enough 13:00 to 15:00"
        assert full(enough).endswith(
            "at 10:00 it is 0.2 stops short, 1.3 stops over under a clear sky"
        )
        ranged = replace(enough, cloud=Figure(0.4, "stops", -0.2, 1.0), sun=None)
        assert full(ranged).endswith("it is 0.2 short to 1 stop over")


def test_nought_is_neither_over_nor_short() -> None:
    # by hand: 0.04 stops are written as 0; 0.06 as 0.1
    ends = {"least": Figure(-3.0, "stops"), "most": Figure(-0.04, "stops")}
    with reading(Reader()):
        said_so = str(said("light.depends", **ends))
        assert said_so == "between 3 stops short and just enough, by what is not measured"
        said_so = str(said("light.depends", **{**ends, "most": Figure(-0.06, "stops")}))
        assert "0.1 stops short" in said_so
    with reading(Reader(rounded=True)):
        assert "and just enough" in str(
            said("light.depends", **{**ends, "most": Figure(0.0, "stops")})
        )
        assert "under ½ stop short" in str(said("light.depends", **ends))


def test_nd_is_asked_for_in_stops() -> None:
    bright = TooBright(
        level="care",
        over=Figure(7.0, "stops"),
        brightest=NOON,
        plane=SIDE,
        needed=NEEDED,
        spell=None,
        setting=SETTING,
        acts=(act("camera.nd", stops=Figure(7.0, "stops"), hours=Spell(time(10), time(14))),),
    )
    with reading(Reader()):
        assert line(bright) == "7 stops too bright at 13:00, for ISO 800, f/2.8, 1/50 s"
        assert act_line(bright.acts[0]) == "Put 7 stops of ND on the lens, 10:00 to 14:00"
        assert "enough" not in full(bright)


def test_what_was_taken_is_said_with_its_range_and_lengths_in_feet() -> None:
    share = Figure(50, "%", 5, 90)
    taken = said("light.reflectance_taken", surfaces=words("surface", ["A", "C"]), share=share)
    height = said("refusal.sun.long_line", least=Figure(0.05, "m"))
    with reading(Reader()):
        assert str(taken) == (
            "walls A and C not measured: 50 % is taken (common practice), 5 to 90 % worked out"
        )
    with reading(Reader("feet")):
        assert " m " not in str(height)


def test_one_fact_of_many_surfaces_is_said_in_one_breath() -> None:
    walls = [f"surfaces.{name}.material" for name in "ABCD"]
    said_so = str(unmeasured(*walls, "surfaces.floor.material"))
    assert said_so == "materials of walls A, B, C and D and the floor are not measured"
    assert str(unmeasured("surfaces.A.material", "windows.W1.sill_m")) == (
        "wall A material and W1 sill are not measured"
    )
    # a round room of 30 walls: letters that follow each other are not listed one by one
    many = [f"room.surfaces.{name}.colour" for name in wall_letters(30) if name not in "BE"]
    assert str(act("measure", facts=words("fact", [*many, "windows.W1.sill_m"]))) == (
        "Measure colours of walls A, C, D and F to AD and W1 sill"
    )
