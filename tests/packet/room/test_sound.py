"""The packet's advice on sound: how near, whether in the picture, what it buys, what was recorded."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

from pypdf import PdfReader

from scout.assess.answers import unmeasured
from scout.assess.sound.advice import InFrame, PlacementAdvice, SoundAdvice
from scout.assess.sound.hours import QuietHours
from scout.packet.build import render_packet
from scout.packet.content import PacketLocation, PacketRecording, PacketSound
from scout.values import Name, said
from tests.packet.invented import content, location, packet_room
from tests.packet.printed import words_of

BOOM = PlacementAdvice(
    mic="boom_1",
    kind="shotgun",
    held="free",
    distance_m=0.7,
    level="good",
    verdict="usable",
    use=said("value.missing"),
    must_come_m=0.78,
    held_by="room",
    ceremony="unusable",
    framings=(
        InFrame("wide", (24.0,), 1.6, in_frame=True),
        InFrame("medium", (35.0, 50.0), 0.37, in_frame=False),
    ),
    comb=None,
    unknown=None,
)
LOST = replace(
    BOOM,
    mic="clip",
    kind="omni_clip",
    held="worn",
    must_come_m=None,
    ceremony=None,
    framings=(),
    unknown=unmeasured("room.noise"),
)
ADVICE = SoundAdvice((BOOM, LOST), 0.35, (), None, ())
SCHOOL = said("value.why", why=Name("school yard"))
HOURS = QuietHours((), (), (SCHOOL,), unmeasured("room.noise"))


def text_of(sound: PacketSound | None) -> str:
    whole = content(
        locations=(PacketLocation(record=location(), rooms=(packet_room(sound=sound),)),)
    )
    return words_of(PdfReader(BytesIO(render_packet(whole)[0])))


def test_the_advice_is_printed() -> None:
    heard = PacketRecording(
        name="kitchen_fridge_on.flac",
        level=said("value.why", why=Name("43 dBA")),
        conditions="fridge on",
        shows=(said("value.why", why=Name("it hums")),),
    )
    text = text_of(PacketSound(advice=ADVICE, hours=HOURS, recordings=(heard,)))
    for words in (
        "What to do about the sound",
        "0.78 m",
        "IN THE PICTURE for wide",
        "out of it for medium",
        "boom_1 0.78 m",
        "unusable",
        "Unknown: school yard.",
        "kitchen_fridge_on.flac",
        "43 dBA",
        "Unknown: it hums.",
        "Unknown: noise readings are not measured.",
    ):
        assert words in text, words


def test_nothing_known_prints_nothing() -> None:
    assert "What to do about the sound" not in text_of(None)
    empty = SoundAdvice((), None, (), None, ())
    assert "What to do about the sound" not in text_of(
        PacketSound(advice=empty, hours=QuietHours((), (), (), unmeasured("room.noise")))
    )
