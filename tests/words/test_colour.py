"""A few sentences of colour as they are read, and the ones that were wrong."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from scout.assess.answers import act
from scout.assess.bounce.findings import (
    BounceBest,
    BouncePoor,
    SpillShadow,
    Unknown,
    WindowCast,
)
from scout.calc.bounce.named import NAMED
from scout.calc.bounce.shift import GRADES, TINTS
from scout.calc.bounce.surface import SKINS
from scout.values import Figure, Many, Name, Word, names, said, words
from scout.words import Reader, full, line, reading
from scout.words.vocabulary import code_of

KEY, BOTH = names(["key"]), names(["key", "fill"])
CAST = Figure(4.2, "delta_e", 3.6, 5.1)


def test_spill_is_said_with_the_wall_first_and_one_figure() -> None:
    finding = SpillShadow(
        level="problem",
        lights=BOTH,
        surfaces=words("surface", ["B"]),
        tint=Word("tint", "yellow"),
        cast=CAST,
        contrast=Figure(2.4, "stops"),
    )
    assert (
        line(finding)
        == "Spill from wall B turns shadows yellow: colour cast 4.2, slight (key and fill)"
    )
    assert "colour cast 3.6 to 5.1 (1 = just visible)" in full(finding)
    assert "2.4 stops under the lit side" in full(finding)


@pytest.mark.parametrize("lights", [KEY, BOTH])
def test_a_bounce_is_said_as_what_to_do(lights: Many) -> None:
    best = BounceBest(
        level="good",
        lights=lights,
        surface=Word("surface", "ceiling"),
        loss=Figure(1.04, "stops"),
        cast=Figure(0.6, "delta_e"),
        tint=None,
        avoid=words("surface", ["A", "B"]),
    )
    assert line(best).startswith(f"Bounce {lights} off the ceiling: 1 stop lost, colour cast 0.6")
    said_in_full = full(best)
    assert said_in_full.startswith(f"{lights} off the ceiling: 1 stop less")  # not 1.0 stops
    assert "Not off walls A and B" in full(best)
    poor = BouncePoor(
        level="care",
        lights=lights,
        surfaces=words("surface", ["A"]),
        loss=Figure(7.0, "stops", 5.4, 7.0),
        cast=None,
        tint=None,
    )
    assert line(poor) == f"Do not bounce {lights}: 5½ to 7 stops lost"


def test_daylight_names_its_hour_and_what_is_unknown_why() -> None:
    finding = WindowCast(
        level="care",
        side=Word("side", "shadow"),
        surface=None,
        tint=Word("tint", "blue_green"),
        cast=Figure(3.0, "delta_e"),
        sky=Word("sky", "clear"),
        at=datetime(2026, 6, 21, 13, tzinfo=UTC),
    )
    assert (
        line(finding)
        == "Daylight turns the shadow side blue-green at 13:00: colour cast 3.0, slight"
    )
    because = said("bounce.light_unmeasured", facts=words("fact", ["beam_deg"]), light=Name("wall"))
    unknown = Unknown(level="unknown", lights=names(["wall"]), cast=None, because=because)
    assert full(unknown).endswith("is unknown: beam angle of wall is not measured.")
    loose = said("bounce.colours_loose", surfaces=words("surface", ["A", "floor"]))
    doubted = replace(unknown, cast=Figure(0.4, "delta_e", 0.0, 8.8), because=loose)
    assert line(doubted).endswith("wall here is unknown: colour cast 0.0 to 8.8, not seen to plain")
    assert full(doubted).endswith("colour of wall A and the floor is not known closely enough.")


def test_acts_name_gels_by_their_grade_and_never_lose_one() -> None:
    gels = words("gel", ["minus_green_1_8", "ctb_1_4"])
    assert str(act("gel.light", gels=gels, lights=BOTH)) == (
        "Put 1/8 minus green and 1/4 CTB on key and fill"
    )
    bounce = said("bounce.gels", gels=gels, mired=Figure(-35.0, "mired", -40.0, -30.0))
    assert str(bounce) == "1/8 minus green and 1/4 CTB (about −40 to −30\u00a0mired, makers differ)"
    assert str(said("bounce.gels", gels=words("gel", ["cto_full"]), mired=None)) == "full CTO"


def test_white_is_said_in_the_readers_units_with_its_lights() -> None:
    deed = act(
        "hang.white",
        surface=Word("surface", "B"),
        area=Figure(4.0, "m2"),
        along=Figure(1.5, "m", 0.5, 2.5),
        height=Figure(1.0, "m", 0.0, 2.0),
        lights=names(["key"]),
    )
    assert str(deed) == "Screen wall B white, 0.5 to 2.5\u00a0m along, 0.0 to 2.0\u00a0m up: key"
    with reading(Reader("feet")):
        assert str(deed).startswith("Screen wall B white, 1' 8\" to 8' 2\" along, ")


def test_every_word_of_colour_is_said() -> None:
    for vocabulary, keys in (
        ("tint", [tint for _, tint in TINTS]),
        ("gel", [f"{kind}_{grade}" for kind in ("ctb", "cto") for grade in GRADES]),
        ("gel", [f"{kind}_green_{grade}" for kind in ("plus", "minus") for grade in GRADES]),
        ("patch", ["white", "grey", *SKINS]),
        ("paint", NAMED),
        ("side", ["key", "shadow"]),
        ("cheek", ["key", "other"]),
        ("sky", ["overcast", "clear"]),
    ):
        for key in keys:
            code_of(vocabulary, key)
