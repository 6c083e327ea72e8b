"""How framings, places, shadows and shutters are said."""

from __future__ import annotations

import re

from scout.assess.answers import act
from scout.assess.fit.frame.kinds import Backdrop, FramingFits
from scout.assess.fit.light.kinds import Flicker
from scout.assess.fit.plan.kinds import KeyPlace
from scout.assess.fit.reasons import both, degrees, joined, metres
from scout.values import Figure, Many, Name, Word, names, said
from scout.words import MESSAGES, Reader, full, line, reading
from scout.words.english import space


def shutter(seconds: float) -> Figure:
    return Figure(seconds, "shutter_s")


def test_shutters_are_fractions_of_a_second() -> None:
    finding = Flicker(
        level="care",
        shutter=shutter(1 / 60),
        about=names(["L1", "Softbox 90 cm"]).items,
        mains=Many((Figure(50.0, "Hz"),)),
        swing=None,
        safe=Many(tuple(shutter(n / 100) for n in (1, 2, 3, 4))),
    )
    assert line(finding) == "1/60 s may flicker under L1 and Softbox 90 cm"
    assert full(finding).endswith("; 1/100 s, 1/50 s, 1/33 s and 1/25 s do not.")
    asked = act("camera.shutter", shutter=shutter(0.02), mains=Figure(50.0, "Hz"))
    assert re.sub(r"\s", " ", str(asked)) == "Set the shutter to 1/50 s on 50 Hz mains"


def test_a_background_is_brighter_or_darker_than_the_card() -> None:
    def told(stops: float) -> str:
        of = Figure(stops, "stops")
        wall = (Word("surface", "A"),)
        return line(Backdrop(level="good", about=wall, stops=of, lux=Figure(9, "lux"), day=None))

    assert told(2.3) == "Wall A behind reads 2½ stops brighter than a grey card at the face"
    assert told(-1.0) == "Wall A behind reads 1 stop darker than a grey card at the face"
    assert told(0.0) == "Wall A behind reads as bright as a grey card at the face"


def test_the_camera_is_placed_in_the_readers_units() -> None:
    finding = FramingFits(
        level="good",
        framing=Word("framing", "head_and_shoulders"),
        lens=Figure(35, "mm"),
        distance=metres(2.1),
        fits=Many((Word("framing", "medium"),)),
    )
    said_in = {}
    for units in ("metric", "feet"):
        with reading(Reader(units)):  # type: ignore[arg-type]
            said_in[units] = re.sub(r"\s", " ", line(finding))
    assert said_in == {
        "metric": "Close with 35 mm, the camera 2.1 m from the face",
        # by hand: 2.1 / 0.0254 = 82.7 inches
        "feet": "Close with 35 mm, the camera 6' 11\" from the face",
    }


def test_a_place_is_said_from_the_lens_and_above_the_eye_line() -> None:
    finding = KeyPlace(
        level="good",
        about=(Name("wall"),),
        lights=names(["wall", "fill"]),
        round=degrees(-47.6),
        above=Figure(39.4, "deg"),
        distance=metres(1.7),
    )
    assert line(finding) == "The key stands 48° round from the lens, 39° above the eye line"
    assert full(finding).startswith("wall and fill stand out of frame, the key 48° round")


def test_no_message_speaks_of_the_old_angles_or_of_keys_of_the_code() -> None:
    for code, template in space.MESSAGES.items():
        assert not re.search(r"degrees|\blx\b|storey|shape|not to be had", template), code
        assert not re.search(r"[a-z]_[a-z]", re.sub(r"\{[^}]*\}", "", template)), code
        assert MESSAGES[code] == template


def test_clauses_follow_one_another() -> None:
    one, two = said("fit.wall"), said("fit.path")
    assert both(None, None) is None
    assert both(None, one) == joined(one) == one
    assert str(both(one, None, two, one)) == f"{one}; {two}; {one}"
