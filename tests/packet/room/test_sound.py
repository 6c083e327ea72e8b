"""The packet's advice on sound: how near, whether in the picture, what it buys, what was recorded."""

from __future__ import annotations

from io import BytesIO

from pypdf import PdfReader

from scout.assess.sound.advice import InFrame, PlacementAdvice, Remedy, SoundAdvice
from scout.assess.sound.hours import QuietHours
from scout.packet.build import render_packet
from scout.packet.content import PacketLocation, PacketRecording, PacketSound
from tests.packet.invented import content, location, packet_room
from tests.packet.printed import words_of

BOOM = PlacementAdvice(
    "boom",
    "shotgun",
    0.7,
    "usable",
    "fit for dialogue",
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
    0.2,
    None,
    None,
    None,
    None,
    None,
    (),
    None,
    "because no noise reading is recorded",
)
ADVICE = SoundAdvice(
    (BOOM, LOST),
    (Remedy("noise", "With the fridge switched off: 34 dBA instead of 44, 10 dB bought.", 10.0),),
    0.35,
    (),
    None,
    (),
)
HOURS = QuietHours(
    (),
    (),
    ("school yard from 10:30 to 10:50: keep speech out of it.",),
    "because no reading says its hour; read again",
)


def text_of(sound: PacketSound | None) -> str:
    whole = content(
        locations=(PacketLocation(record=location(), rooms=(packet_room(sound=sound),)),)
    )
    return words_of(PdfReader(BytesIO(render_packet(whole)[0])))


def test_the_advice_is_printed() -> None:
    heard = PacketRecording(
        name="kitchen_fridge_on.flac",
        level="43 dBA",
        conditions="fridge on",
        shows="It hums at 50.0 Hz.",
    )
    text = text_of(PacketSound(advice=ADVICE, hours=HOURS, recordings=(heard,)))
    for words in (
        "What to do about the sound",
        "0.78 m",
        "IN THE PICTURE for wide",
        "out of it for medium",
        "34 dBA instead of 44",
        "School yard from 10:30",
        "kitchen_fridge_on.flac",
        "43 dBA",
        "It hums at 50.0 Hz.",
        "Unknown: because no noise reading is recorded.",
    ):
        assert words in text, words


def test_nothing_known_prints_nothing() -> None:
    assert "What to do about the sound" not in text_of(None)
    empty = SoundAdvice((), (), None, (), None, ())
    assert "What to do about the sound" not in text_of(
        PacketSound(advice=empty, hours=QuietHours((), (), (), "because no reading says its hour"))
    )
