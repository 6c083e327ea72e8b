"""The packet's advice on sound: how near, whether in the picture, what it buys, what was recorded."""

from __future__ import annotations

from datetime import time
from io import BytesIO

from pypdf import PdfReader

from scout.assess.sound.advice import InFrame, PlacementAdvice, SoundAdvice
from scout.assess.sound.hours import QuietHours
from scout.packet.figures.content import PacketLocation, PacketRecording, PacketSound
from scout.values import Figure, Name, Spell, said
from tests.packet.invented import content, location, packet_room, render_packet
from tests.packet.printed import words_of

BOOM = PlacementAdvice(
    "boom",
    "shotgun",
    "free",
    0.7,
    "good",
    "usable",
    0.78,
    "room",
    "unusable",
    (
        InFrame("wide", (24.0,), 1.6, in_frame=True),
        InFrame("medium", (35.0, 50.0), 0.37, in_frame=False),
    ),
    None,
    None,
)
LOST = PlacementAdvice(
    "clip",
    "omni_clip",
    "worn",
    0.2,
    "unknown",
    None,
    None,
    None,
    None,
    (),
    None,
    said("noise.none"),
)
ADVICE = SoundAdvice(
    (BOOM, LOST),
    0.35,
    None,
    (),
)
HOURS = QuietHours(
    (),
    (),
    (
        said(
            "noise.keep_out",
            noise=said(
                "noise.window",
                noise=Name("school yard"),
                spell=Spell(time(10, 30), time(10, 50)),
                way=None,
            ),
        ),
    ),
    said("noise.one_hour", at=None),
)


def text_of(sound: PacketSound | None) -> str:
    whole = content(
        locations=(PacketLocation(record=location(), rooms=(packet_room(sound=sound),)),)
    )
    return words_of(PdfReader(BytesIO(render_packet(whole)[0])))


def test_the_advice_is_printed() -> None:
    heard = PacketRecording(
        name="kitchen_fridge_on.flac",
        level=said("recording.level", laeq=Figure(43, "dBA")),
        conditions="fridge on",
        shows=(said("recording.no_hum"),),
    )
    text = text_of(PacketSound(advice=ADVICE, hours=HOURS, recordings=(heard,)))
    for words in (
        "What to do about the sound",
        "0.78 m",
        "IN THE PICTURE for wide",
        "out of it for medium",
        "Keep speech out of school yard, 10:30 to 10:50",
        "kitchen_fridge_on.flac",
        "43 dBA",
        "Nothing hums between 22 and 420 Hz.",
        "no noise was read here",
    ):
        assert words in text, words


def test_nothing_known_prints_nothing() -> None:
    assert "What to do about the sound" not in text_of(None)
    empty = SoundAdvice((), None, None, ())
    assert "What to do about the sound" not in text_of(
        PacketSound(advice=empty, hours=QuietHours((), (), (), said("noise.one_hour", at=None)))
    )
