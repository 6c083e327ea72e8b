"""Who changed what, from what to what; and one change taken back as a new one.

Every expectation: property: what stood there before stands there again, and nothing else moved.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from sqlalchemy import select

from scout.errors import NotAllowed, NotFound, Refused, RefusedMany
from scout.records import (
    CandidateRecord,
    LocationRecord,
    Marks,
    NoteRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.records.sheet import Circuit, Window
from scout.settings import Settings
from scout.store import models
from scout.store.queries.common import BEGINNING, Spot
from scout.usecases import bin as deleted
from scout.usecases import (
    deciding,
    history,
    keeping,
    locations,
    notes,
    productions,
    rooms,
    undoing,
)
from scout.usecases.work import Who, Work, open_work
from scout.words import Reader, reading

LOFT = {
    "name": "Loft",
    "width_m": 5,
    "length_m": 6,
    "height_m": 2.7,
    "outlets": [{"id": "P1", "circuit": "K1"}],
    "circuits": [{"id": "K1"}],
    "windows": [{"id": "W1", "wall": "A", "offset_m": 1, "width_m": 1, "sill_m": 1, "height_m": 1}],
}


@pytest.fixture
def loft(work: Work) -> int:
    place = locations.add_location(work, LocationRecord(name="Mill"))
    return rooms.add_room(work, place, RoomRecord.read(LOFT))


def last(work: Work) -> int:
    """The key of the newest change."""
    return history.changes(work, spot=BEGINNING).items[0].id


def edit_room(work: Work, key: int, **news: Any) -> int:
    page = rooms.room(work, key)
    own = page.kept.record.model_copy(update=news)
    rooms.save_room(work, key, page.kept.version, own)
    return last(work)


def edit_window(work: Work, room: int, **news: Any) -> int:
    kept = rooms.room(work, room).parts["windows"][0]
    record = Window.read({**kept.record.plain(), **news})
    rooms.save_part(work, "windows", kept.id, kept.version, record)
    return last(work)


def refusal(work: Work, key: int) -> str:
    """The code of why a change is not taken back; the page that looks first says the same."""
    told = undoing.preview(work, key).refused
    with pytest.raises(Refused) as refused:
        undoing.undo(work, key)
    work.db.rollback()
    assert told == refused.value.because
    return getattr(refused.value.because, "code", "")


def test_a_change_says_who_when_from_what_to_what(work: Work, loft: int) -> None:
    work.now = lambda: datetime(2026, 5, 3, 9, 30, tzinfo=UTC)
    key = edit_window(work, loft, width_m=1.2, covering="blind")
    line = undoing.preview(work, key).line
    assert (line.by, line.at, line.about) == ("Ada Example", work.now(), ("room", loft))
    assert str(line.things[0].thing) == "window W1"
    assert line.things[0].deed.key == "changed"
    said = sorted(
        str(field.line).replace("\N{NO-BREAK SPACE}", " ") for field in line.things[0].fields
    )
    assert said == ["covering: blind, not recorded before", "width: 1.00 m became 1.20 m"]
    with reading(Reader("feet")):  # by hand: 1 m is 39.4 in, 1.2 m is 47.2 in
        assert str(line.things[0].fields[0].line) == "width: 3' 3 1/2\" became 3' 11\""


def test_what_is_taken_back_stands_there_again_and_back_again_is_forth(
    work: Work, loft: int
) -> None:
    before = rooms.room(work, loft).kept.record
    key = edit_room(work, loft, width_m=4.5, tags=("brick",))
    after = rooms.room(work, loft).kept.record
    back = undoing.undo(work, key)
    assert rooms.room(work, loft).kept.record == before
    forth = undoing.undo(work, back)
    assert rooms.room(work, loft).kept.record == after
    undoing.undo(work, key)  # what stands there is what it made: it can be taken back once more
    assert rooms.room(work, loft).kept.record == before
    lines = {line.id: line for line in history.changes(work, spot=BEGINNING).items}
    assert (lines[back].undoes, lines[forth].undoes, lines[back].undone_by) == (key, back, forth)


LENGTHS = st.none() | st.floats(0.5, 30, allow_nan=False)
EDITS = st.fixed_dictionaries(
    {},
    optional={
        "name": st.none() | st.text(st.characters(categories=("L", "N")), min_size=1, max_size=9),
        "width_m": LENGTHS,
        "length_m": LENGTHS,
        "height_m": st.none() | st.floats(2.5, 12),
        "tags": st.none() | st.lists(st.sampled_from(["brick", "Wand"]), min_size=1).map(tuple),
        "storey": st.none() | st.integers(-3, 30),
        "setting": st.sampled_from(["interior", "covered", "exterior"]),
        "furnished": st.sampled_from([None, "bare"]),
    },
)


@pytest.fixture(scope="module")
def shared(
    sqlite_template: Any, tmp_path_factory: pytest.TempPathFactory
) -> Callable[[], tuple[Work, int]]:
    """One room, edited over and over."""
    import shutil

    made = Settings(data_dir=tmp_path_factory.mktemp("history"))
    shutil.copy(sqlite_template, made.data_dir / "sillbook.db")
    with open_work(made) as work:
        place = locations.add_location(work, LocationRecord(name="Mill"))
        bare = {**LOFT, "windows": [], "outlets": [], "circuits": []}
        key = rooms.add_room(work, place, RoomRecord.read(bare))
    return lambda: (open_work(made), key)  # type: ignore[return-value]


@hypothesis_settings(
    max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(first=EDITS, second=EDITS)
def test_any_edit_is_taken_back_whole(
    shared: Callable[[], tuple[Any, int]], first: dict[str, Any], second: dict[str, Any]
) -> None:
    opening, key = shared()
    with opening as work:
        try:
            edit_room(work, key, **first)
            before = rooms.room(work, key).kept.record
            edit_room(work, key, **second)
        except RefusedMany:
            work.db.rollback()
            return
        after = rooms.room(work, key).kept.record
        change = history.changes(work, spot=BEGINNING).items[0]
        if (
            before == after
        ):  # nothing to take back: the line holds no values, or is of the edit before
            assert change.words is not None
            return
        back = undoing.undo(work, change.id)
        assert rooms.room(work, key).kept.record == before
        undoing.undo(work, back)
        assert rooms.room(work, key).kept.record == after


def test_a_later_change_of_the_same_field_refuses_another_does_not(work: Work, loft: int) -> None:
    narrow = edit_window(work, loft, width_m=0.8)
    edit_window(work, loft, height_m=1.3)
    work.who = Who(2, "Eve", "eve@example.org", "scout")
    wide = edit_window(work, loft, width_m=1.5)
    assert refusal(work, narrow) == "history.changed_since"
    refused = undoing.preview(work, narrow).refused
    assert str(refused) == (
        "is older than another: width was changed again since, by Eve; change it by hand"
    )
    undoing.undo(work, wide)
    undoing.undo(work, narrow)
    window = rooms.room(work, loft).parts["windows"][0].record
    assert (window.width_m, window.height_m) == (1, 1.3)


def test_what_does_not_fit_any_more_is_not_put_back(work: Work, loft: int) -> None:
    key = edit_window(work, loft, offset_m=0)
    second = Window.read(
        {"id": "W2", "wall": "A", "offset_m": 1.2, "width_m": 1, "sill_m": 1, "height_m": 1}
    )
    rooms.add_part(work, loft, "windows", second)
    with pytest.raises(RefusedMany):
        undoing.undo(work, key)
    work.db.rollback()
    assert rooms.room(work, loft).parts["windows"][0].record.offset_m == 0


def test_of_something_deleted_nothing_is_put_back(work: Work, loft: int) -> None:
    key = edit_window(work, loft, width_m=0.8)
    kept = rooms.room(work, loft).parts["windows"][0]
    rooms.bin_part(work, "windows", kept.id, kept.version)
    binned = last(work)
    assert refusal(work, key) == "history.deleted_since"
    undoing.undo(work, binned)
    assert len(rooms.room(work, loft).parts["windows"]) == 1
    assert refusal(work, binned) == "history.back_since"
    rooms.bin_room(work, loft, rooms.room(work, loft).kept.version)
    assert refusal(work, key) == "history.owner_gone"


def test_what_was_added_is_deleted_and_had_back(work: Work, loft: int) -> None:
    first = last(work)  # the room with its parts is one change
    assert len(undoing.preview(work, first).line.things) == 4
    key = rooms.add_part(work, loft, "circuits", Circuit(id="K2"))
    added = last(work)
    back = undoing.undo(work, added)
    assert len(rooms.room(work, loft).parts["circuits"]) == 1
    assert [line.id for line in deleted.binned(work)] == [key]
    undoing.undo(work, back)
    assert len(rooms.room(work, loft).parts["circuits"]) == 2
    edit_window(work, loft, width_m=0.8)
    assert refusal(work, first) == "history.changed_since"


def test_outlets_follow_their_circuit_there_and_back(work: Work, loft: int) -> None:
    kept = rooms.room(work, loft).parts["circuits"][0]
    rooms.save_part(work, "circuits", kept.id, kept.version, Circuit(id="Kitchen"))
    key = last(work)
    assert [str(one.thing) for one in undoing.preview(work, key).line.things] == [
        "circuit Kitchen",
        "outlet P1",
    ]
    undoing.undo(work, key)
    parts = rooms.room(work, loft).parts
    assert (parts["circuits"][0].record.id, parts["outlets"][0].record.circuit) == ("K1", "K1")


def test_marks_and_what_a_room_has_none_of(work: Work, loft: int) -> None:
    marks = Marks(subject=(2, 3, 1.2), camera=(2, 1, 1.4))
    rooms.save_marks(work, loft, rooms.room(work, loft).kept.version, marks)
    first = last(work)
    rooms.say_none(work, loft, "doors", True)
    undoing.undo(work, last(work))
    assert rooms.room(work, loft).kept.record.doors is None
    undoing.undo(work, first)
    assert rooms.room(work, loft).marks is None


def test_a_choice_of_room_is_taken_back_whole(work: Work, loft: int) -> None:
    place = rooms.room(work, loft).location.id
    cellar = rooms.add_room(work, place, RoomRecord.read({"name": "Cellar"}))
    job = productions.add_production(work, ProductionRecord(title="A film"))
    scene = productions.add_scene(work, job, SceneRecord(name="The talk"))
    proposed = CandidateRecord(state="proposed")
    keys = [productions.add_candidate(work, scene, room, proposed) for room in (loft, cellar)]
    for key in keys:
        row = work.db.get(models.Candidate, key)
        assert row is not None
        record = CandidateRecord(state="first_choice")
        deciding.decide(work, key, row.version, record, "0" * 64, {})
    undoing.undo(work, last(work))
    states = [row.state for row in work.db.scalars(select(models.Candidate))]
    assert states == ["first_choice", "proposed"]


def test_a_private_note_is_its_authors_alone(work: Work, loft: int) -> None:
    ada = work.who
    secret, open_text = "alarm under the stairs", "radiator ticks"
    key = notes.add_note(work, "room", loft, NoteRecord(text=secret, audience="private"))
    notes.save_note(work, key, 1, NoteRecord(text=f"{secret} 2", audience="private"))
    edited = last(work)
    notes.save_note(work, key, 2, NoteRecord(text=open_text, audience="crew"))
    opened = last(work)
    notes.save_note(work, key, 3, NoteRecord(text=f"{open_text} 2", audience="crew"))
    for who, reads in ((ada, True), (Who(2, "Eve", "e@e.org", "owner"), False)):
        work.who = who
        lines = history.changes(work, spot=BEGINNING).items
        text = " ".join(
            f"{field.where} {field.was} {field.now} {field.line}"
            for line in lines
            for thing in line.things
            for field in thing.fields
        ) + " ".join(str(thing.thing) for line in lines for thing in line.things)
        assert (secret in text) is reads
        assert f"{open_text} 2" in text
        if not reads:
            for change in (edited, opened):
                assert getattr(undoing.preview(work, change).refused, "code", "") == (
                    "kept.private_note"
                )
                with pytest.raises(NotAllowed):
                    undoing.undo(work, change)
                work.db.rollback()


def test_who_may_not_do_it_may_not_take_it_back(work: Work, loft: int) -> None:
    room_change = edit_room(work, loft, height_m=3.0)
    page = locations.location(work, rooms.room(work, loft).location.id)
    news = page.kept.record.model_copy(update={"fee_amount": 900.0, "fee_currency": "EUR"})
    locations.save_location(work, page.kept.id, page.kept.version, news)
    place_change = last(work)
    work.who = Who(3, "Pia", "p@e.org", "producer")
    with pytest.raises(NotAllowed):
        undoing.undo(work, room_change)
    work.db.rollback()
    undoing.undo(work, place_change)
    assert locations.location(work, page.kept.id).kept.record.fee_amount is None


def test_who_may_not_read_everything_reads_no_change(settings: Settings) -> None:
    with open_work(settings) as work:
        place = locations.add_location(work, LocationRecord(name="Mill", fee_note="cash"))
    with open_work(settings, Who(4, "Cy", "c@e.org", "crew"), reading=True) as work:
        assert work.db.scalars(select(models.Change)).all() == []
        with pytest.raises(NotFound):
            undoing.preview(work, 1)
    assert place


def test_changes_by_person_place_and_day(work: Work, loft: int) -> None:
    ada = work.who
    assert ada is not None
    place = rooms.room(work, loft).location.id
    work.now = lambda: datetime(2026, 5, 3, 23, 59, tzinfo=UTC)
    first = edit_room(work, loft, height_m=3.0)
    work.now = lambda: datetime(2026, 5, 4, 0, 0, tzinfo=UTC)
    work.who = replace(ada, name="Eve")
    second = edit_window(work, loft, width_m=0.8)
    other = locations.add_location(work, LocationRecord(name="Barn"))

    def found(**asked: Any) -> list[int]:
        return [line.id for line in history.changes(work, spot=BEGINNING, **asked).items]

    third = last(work)
    assert found(by="Eve") == [third, second]
    assert found(about=("room", loft))[:2] == [second, first]
    assert found(about=("location", place))[:2] == [second, first]
    assert found(about=("location", other)) == [third]
    assert found(on=date(2026, 5, 3)) == [first]
    assert found(on=date(2026, 5, 4), by="Eve", about=("room", loft)) == [second]
    # by hand: 23:59 UTC is 01:59 of the next day in Berlin (UTC+2), midnight 20:00 the day before in
    # New York (UTC-4)
    assert found(on=date(2026, 5, 4), zone="Europe/Berlin")[:3] == [third, second, first]
    assert found(on=date(2026, 5, 3), zone="America/New_York")[:3] == [third, second, first]
    assert found(on=date(2026, 5, 4), zone="America/New_York") == []


def test_pages_begin_after_a_change(work: Work, loft: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keeping, "PER_PAGE", 3)
    for height in range(3, 9):
        edit_room(work, loft, height_m=float(height))
    keys: list[int] = []
    spot = BEGINNING
    while True:
        page = history.changes(work, spot=spot)
        keys += [line.id for line in page.items]
        if page.later is None:
            break
        spot = Spot(after=page.later)
    assert len(keys) == page.total == 8  # place, room, six heights
    assert keys == sorted(keys, reverse=True)


def test_a_refused_save_leaves_no_trace(work: Work, loft: int) -> None:
    before = last(work)
    with pytest.raises(RefusedMany):
        edit_room(work, loft, width_m=0.5)  # W1 would reach past its wall
    work.db.rollback()
    rooms.say_none(work, loft, "doors", True)
    line = undoing.preview(work, last(work)).line
    assert len(line.things) == 1
    assert [str(field.where) for field in line.things[0].fields] != []
    assert last(work) != before
