"""The contact sheet: the photos that stand on no other page, each with its room and caption."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk, Section
from scout.packet.content import PacketContent, PacketPhoto
from scout.packet.crew.day import PHOTOS as OF_A_DAY
from scout.packet.crew.parts import TITLE, cell, opened, photo_of, pictures
from scout.packet.crew.room import PHOTOS as OF_A_ROOM
from scout.packet.crew.running import room_of, runs_through
from scout.values import Name

ABREAST = (2, 3, 4)  # photos in a row: as few as leave all of them on one page
HIGH = 0.75  # of its frame's width: photos lie, most of them, at 4 to 3
CAPTION_POINTS = 30.0
MOST_HIGH = (
    0.8  # of the page: a page full of large pictures is more ink than a crew's printer likes
)


def photos_left(content: PacketContent, shown_already: bool) -> list[PacketPhoto]:
    """The photos of each place and room that no other page has; shown_already: the rooms' own pages
    are printed too.
    """
    of_places: dict[str, list[PacketPhoto]] = {}
    of_rooms: dict[tuple[str, str | None], list[PacketPhoto]] = {}
    for day in content.days:
        place = Name(day.place.name)
        of_places[day.place.name] = [photo_of(place, one) for one in day.photos[OF_A_DAY:]]
        for setup in day.setups:
            shots = setup.photos[OF_A_ROOM if shown_already else 0 :]
            named = [photo_of(room_of(setup), one) for one in shots]
            of_rooms[day.place.name, setup.room] = named
    return [one for shots in (*of_places.values(), *of_rooms.values()) for one in shots]


def contact_sheet(desk: Desk, content: PacketContent, *, shown_already: bool) -> list[Flowable]:
    """A row of photos after the other, on the page before where a row is free; nothing where every
    photo found room on its own page.
    """
    section, runs = Section("photos", "Photos", 0), runs_through(content, "Photos")
    shots = [*desk.moved, *photos_left(content, shown_already)]
    if not shots:
        return []
    for abreast in ABREAST:
        high = HIGH * cell(desk.width, abreast)
        if (
            -(-len(shots) // abreast) * (high + CAPTION_POINTS) + TITLE.leading
            < MOST_HIGH * desk.height
        ):
            break
    made = opened(desk, section, runs, room=high + 70.0)
    return [*made, *pictures(desk, shots, desk.width, high, abreast=abreast)]
