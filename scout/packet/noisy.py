"""Everyday things that make a noise, by a fixed list of words: in what a crew wrote of a room, in what
it says stood on or off when noise was read, and in what its furniture is called. A word that is
found is something to ask about, never a source that was recorded.
"""

from __future__ import annotations

from scout.packet.content import PacketSetup
from scout.values import Many, Name, Said, Word, said
from scout.words.language import lists

# what stands in ordinary houses and halls and is heard by a microphone (common practice)
NOISY: tuple[str, ...] = (
    "fridge",
    "freezer",
    "fan",
    "air_conditioning",
    "ventilation",
    "heating",
    "boiler",
    "dehumidifier",
    "clock",
    "pump",
    "aquarium",
    "washing_machine",
    "dishwasher",
    "dryer",
    "coffee_machine",
    "vending_machine",
    "compressor",
    "generator",
    "lift",
    "computer",
    "projector",
    "printer",
    "tube_light",
    "transformer",
    "doorbell",
    "telephone",
    "bell",
)


def named(setup: PacketSetup) -> tuple[Word, ...]:
    """The things of the list that notes, readings or furniture of a setup's room name, each once."""
    room = setup.sheet.room
    texts = [note.text for note in setup.notes]
    texts += [str(one.conditions) for one in room.noise or () if one.conditions]
    texts += [piece.id for piece in room.furniture or ()]
    return in_text(" . ".join(texts))


def in_text(text: str) -> tuple[Word, ...]:
    """The things that a text names, in the reader's language or in English, whole words alone."""
    return tuple(Word("noisy", key) for key in NOISY if lists(f"noisy_as.{key}", text))


def left_to_ask(setup: PacketSetup, told: str) -> Said | None:
    """Whom to ask about what is named and not told yet; None where nothing is left."""
    words = set(in_text(told))
    left = tuple(one for one in named(setup) if one not in words)
    if not left:
        return None
    contact = next(iter(setup.place.contacts or ()), None)
    who = None if contact is None else Name(contact.name)
    return said("packet.ask_off", what=Many(left, "list"), who=who)
