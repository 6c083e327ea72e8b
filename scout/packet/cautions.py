"""What can hurt somebody, gathered on one page at the end."""

from __future__ import annotations

from collections import Counter

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk, Section
from scout.packet.content import PacketContent
from scout.packet.setting.text import BODY
from scout.values import Name, said
from scout.words.figures import Words, room_name, sentence

# Common practice on any set; local law, the house's rules and licensed people come before anything
# printed here.
STANDING = (
    "Never work alone on a ladder or under anything that hangs, and tie off what hangs over people.",
    "No kit, lead or flat may narrow a way out or cover an extinguisher, an alarm or an exit sign.",
    "Figures in this packet come from what was measured on the scout and from stated assumptions. They do not replace local codes, the house's "
    "rules or the judgement of licensed people.",
)


def general_cautions(content: PacketContent) -> tuple[Words, ...]:
    """What holds everywhere: the production's own cautions, and those that more than one room
    carries.
    """
    held = Counter(
        caution
        for location in content.locations
        for room in location.rooms
        if room.assessment
        for caution in set(room.assessment.cautions)
    )
    shared = [
        caution
        for location in content.locations
        for room in location.rooms
        if room.assessment
        for caution in room.assessment.cautions
    ]
    return tuple(
        dict.fromkeys(
            (*content.cautions, *(caution for caution in shared if held[caution] > 1), *STANDING)
        )
    )


def caution_pages(desk: Desk, section: Section, content: PacketContent) -> list[Flowable]:
    """What holds everywhere, once; then what single rooms add."""
    made = desk.begin(section, "For everybody")
    general = general_cautions(content)
    made += [desk.text(f"– {sentence(caution)}", BODY) for caution in general]
    for name, room in [
        (location.record.name, room) for location in content.locations for room in location.rooms
    ]:
        own = [
            caution
            for caution in dict.fromkeys(room.assessment.cautions if room.assessment else ())
            if caution not in general
        ]
        if own:
            there = said("packet.room_at", room=room_name(room.room.name), place=Name(name))
            made += desk.heading(there)
            made += [desk.text(f"– {sentence(caution)}", BODY) for caution in own]
    return made
