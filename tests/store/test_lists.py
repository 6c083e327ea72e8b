"""Lists by pages: every row once, in order, from either end, in as many statements for many as for few."""

from __future__ import annotations

import random

import pytest
from sqlalchemy import event

from scout.records import LocationRecord, ProductionRecord, RoomRecord
from scout.store import engine as databases
from scout.store import models
from scout.store.queries import jobs, places
from scout.store.queries.common import BEGINNING, Listing, Spot, page_of
from scout.usecases import locations, productions, rooms
from scout.usecases.work import Work

NAMES = ("Hall", "hall", "Attic", "", "\u00c4ra", "\u56f3\u66f8", "zoo", "100%")


def fill(work: Work, seed: int, places_n: int = 6, rooms_n: int = 23) -> None:
    """Places and rooms many of which are called alike, some rooms nameless, some binned."""
    chance = random.Random(seed)
    keys = [
        locations.add_location(work, LocationRecord(name=chance.choice(NAMES) or "x"))
        for _ in range(places_n)
    ]
    for _ in range(rooms_n):
        name = chance.choice(NAMES) or None
        rooms.add_room(work, chance.choice(keys), RoomRecord(name=name))
    for k in range(7):
        productions.add_production(work, ProductionRecord(title=f"Job {k}"))
    rooms.bin_room(work, 2, 1)
    locations.bin_location(work, keys[1], 1)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("per_page", [1, 4, 100])
def test_page_by_page_every_row_comes_once_and_in_order(
    work: Work, seed: int, per_page: int
) -> None:
    # property: pages end to end, forwards and backwards, are the list
    fill(work, seed)
    for listing in (places.rooms("", None, None), places.locations(""), jobs.productions("")):
        whole = [row[0].id for row in work.db.execute(listing.rows())]
        assert len(whole) > 3
        assert _walked(work, listing, per_page, backward=False) == whole
        assert _walked(work, listing, per_page, backward=True) == whole


def _walked(work: Work, listing: Listing, per_page: int, *, backward: bool) -> list[int]:
    spot, found = Spot(end=True) if backward else BEGINNING, []
    while True:
        cut = page_of(work.db, listing, spot, per_page)
        keys = [row[0].id for row in cut.rows]
        assert cut.total == len(list(work.db.execute(listing.query)))
        assert (cut.later if backward else cut.earlier) == bool(found)
        found = keys + found if backward else found + keys
        if not (cut.earlier if backward else cut.later):
            return found
        spot = Spot(before=keys[0]) if backward else Spot(after=keys[-1])


def test_a_room_that_goes_between_two_pages_costs_no_other_its_place(work: Work) -> None:
    # property: with pages counted by number the row after the one that went would be left out
    place = locations.add_location(work, LocationRecord(name="Mill"))
    for k in range(6):
        rooms.add_room(work, place, RoomRecord(name=f"Room {k}"))
    listing = places.rooms("", None, None)
    first = page_of(work.db, listing, BEGINNING, 3)
    rooms.bin_room(work, 1, 1)
    second = page_of(work.db, listing, Spot(after=first.rows[-1][0].id), 3)
    assert [row[0].name for row in second.rows] == ["Room 3", "Room 4", "Room 5"]


def test_a_page_takes_as_many_statements_for_twenty_rooms_as_for_one(work: Work) -> None:
    statements: list[str] = []
    engine = databases.engine(work.settings.url)

    def note(_c: object, _k: object, statement: str, *_: object) -> None:
        statements.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    try:
        counts = []
        for more in (1, 19):
            place = locations.add_location(work, LocationRecord(name=f"Mill {more}"))
            for k in range(more):
                rooms.add_room(work, place, RoomRecord(name=f"Room {k}"))
            work.db.expire_all()
            statements.clear()
            assert len(rooms.find_rooms(work).items) == (1 if more == 1 else 20)
            locations.find_locations(work)
            counts.append(len(statements))
        assert counts[0] == counts[1] <= 11
    finally:
        event.remove(engine, "before_cursor_execute", note)


def test_the_first_photo_of_a_place_is_its_own_before_one_of_its_rooms(work: Work) -> None:
    place = locations.add_location(work, LocationRecord(name="Mill"))
    room = rooms.add_room(work, place, RoomRecord(name="Loft"))
    bare = locations.add_location(work, LocationRecord(name="Barn"))
    inside = rooms.add_room(work, bare, RoomRecord(name="Stalls"))
    for owner, position in (
        ({"room_id": room}, 1),
        ({"location_id": place}, 5),
        ({"location_id": place}, 4),
        ({"room_id": inside}, 9),
    ):
        photo(work, position=position, **owner)
    assert places.first_photos(work.db, location_ids=[place, bare]) == {place: 3, bare: 4}
    assert places.first_photos(work.db, room_ids=[room, inside]) == {room: 1, inside: 4}


def photo(work: Work, *, position: int = 1, caption: str | None = None, **owner: int) -> int:
    """A row of a photo; no file lies behind it."""
    row = models.Photo(
        sha256="0" * 64,
        bytes=1,
        original_name="a.jpg",
        mime="image/jpeg",
        width_px=1,
        height_px=1,
        facts={},
        caption=caption,
        in_packet=True,
        position=position,
        **owner,
    )
    work.add(row, "photo added")
    work.commit()
    return row.id


def test_what_is_chosen_is_offered_however_many_there_are(
    work: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("scout.usecases.keeping.MOST_CHOICES", 2)
    for name in "abcd":
        place = locations.add_location(work, LocationRecord(name=name))
        rooms.add_room(work, place, RoomRecord(name=name * 2))
        productions.add_production(work, ProductionRecord(title=name * 3))
    assert locations.choices(work) == [(1, "a"), (2, "b")]
    assert locations.choices(work, also=[4, 1]) == [(1, "a"), (2, "b"), (4, "d")]
    assert rooms.choices(work, also=[3]) == [(1, "aa, a"), (2, "bb, b"), (3, "cc, c")]
    assert productions.choices(work, also=[1]) == [(4, "ddd"), (3, "ccc"), (1, "aaa")]
