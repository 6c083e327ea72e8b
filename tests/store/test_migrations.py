"""Migrations run both ways with rows in place, and end at the schema that the models describe."""

from __future__ import annotations

import math
import subprocess
import sys
from datetime import date
from io import BytesIO

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from PIL import Image
from sqlalchemy import inspect, text

from scout import places
from scout.errors import NotFound
from scout.pages.day import setups
from scout.records import (
    CandidateRecord,
    GateRecord,
    Invited,
    LinkRecord,
    LocationRecord,
    Person,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
    TokenRecord,
)
from scout.records.day import DayRecord
from scout.settings import Settings
from scout.store import engine as databases
from scout.store.models import Base, Move, Passkey
from scout.usecases import (
    days,
    gates,
    inviting,
    locations,
    passkeys,
    people,
    photos,
    print_templates,
    printings,
    productions,
    rooms,
    sharing,
    tokens,
)
from scout.usecases import setups as setup_deeds
from scout.usecases.revisions import Wanted
from scout.usecases.work import Who, Work, open_work
from tests.days import film


def fill(work: Work) -> None:
    """Some rows in place; somebody logged in, and somebody guessed wrongly."""
    if not people.any_person(work):
        people.add_person(work, Person(email="ada@example.org", name="Ada"), "correct horse ladder")
    people.begin_session(work, 1, "a browser")
    inviting.invite(work, Invited(email="bo@example.org", name="Bo", role="crew"))
    assert people.may_try(work, "eve@example.org", "192.0.2.1", None)
    place = locations.add_location(
        work, LocationRecord(name="Mill", latitude_deg=52.0, longitude_deg=0.1)
    )
    rooms.add_room(
        work,
        place,
        RoomRecord.read(
            {
                "name": "Loft",
                "width_m": 4,
                "length_m": 5,
                "height_m": 2.5,
                "windows": [{"id": "W1", "wall": "A", "offset_m": 1, "width_m": 1, "height_m": 1}],
            }
        ),
    )


# SQLite's indexes over an expression cannot be read back, which is said, and are left out
@pytest.mark.filterwarnings("ignore:Skipped unsupported reflection")
@pytest.mark.filterwarnings("ignore:autogenerate skipping metadata-specified expression")
def test_the_migrated_schema_is_the_models_schema(settings: Settings) -> None:
    with databases.engine(settings.url).connect() as connection:
        assert (
            compare_metadata(
                MigrationContext.configure(
                    connection,
                    opts={
                        "compare_type": True,
                        # SQLite's full-text index is no table of ours
                        "include_name": lambda name, kind, _: (
                            not (kind == "table" and name.startswith("room_words_fts"))
                        ),
                    },
                ),
                Base.metadata,
            )
            == []
        )


def test_several_that_start_at_once_migrate_once(settings: Settings) -> None:
    databases.migrate_down(settings.url, places.MIGRATIONS, "base")
    databases.engine(settings.url).dispose()
    start = (
        "import sys; from scout import places; from scout.store import engine; "
        "engine.migrate(sys.argv[1], places.MIGRATIONS)"
    )
    running = [
        subprocess.Popen(
            [sys.executable, "-c", start, settings.url], stderr=subprocess.PIPE, text=True
        )
        for _ in range(3)
    ]
    assert [(one.communicate(timeout=120)[1], one.returncode) for one in running] == [("", 0)] * 3
    assert databases.is_current(settings.url, places.MIGRATIONS)


def test_check_constraints_survive(settings: Settings) -> None:
    # batch mode drops CHECK constraints that have no name: every one of the models must be there by
    # its name
    found = inspect(databases.engine(settings.url))
    for table in Base.metadata.sorted_tables:
        wanted = {str(c.name) for c in table.constraints if type(c).__name__ == "CheckConstraint"}
        assert wanted <= {str(c["name"]) for c in found.get_check_constraints(table.name)}, (
            table.name
        )


def test_down_and_up_again_with_rows_in_place(settings: Settings) -> None:
    with open_work(settings) as work:
        fill(work)
    scripts = ScriptDirectory(str(places.MIGRATIONS))
    for revision in [script.revision for script in scripts.walk_revisions()]:  # newest first
        down = scripts.get_revision(revision).down_revision or "base"
        assert isinstance(down, str)
        databases.migrate_down(settings.url, places.MIGRATIONS, down)
        databases.migrate(settings.url, places.MIGRATIONS, revision)
        databases.migrate_down(settings.url, places.MIGRATIONS, down)
    databases.migrate(settings.url, places.MIGRATIONS)
    assert databases.is_current(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        fill(work)


def test_foreign_keys_hold(settings: Settings) -> None:
    # SQLite leaves them off until each connection switches them on
    with open_work(settings) as work:
        fill(work)
        work.db.execute(text("delete from location"))
        work.db.commit()
        assert work.db.execute(text('select count(*) from "window"')).scalar() == 0


def test_migrations_stand_alone_and_say_why() -> None:
    for script in sorted((places.MIGRATIONS / "versions").glob("*.py")):
        body = script.read_text(encoding="utf-8")
        assert "scout" not in body.replace("`scout export", "").replace("'scout'", "")  # the role
        assert all(word in body for word in ("Why:", "Up:", "Down:", "Both:"))


def test_furniture_goes_and_what_a_room_has_none_of_stays_readable(settings: Settings) -> None:
    with open_work(settings) as work:
        place = locations.add_location(
            work, LocationRecord(name="Mill", latitude_deg=52.0, longitude_deg=0.1)
        )
        full = rooms.add_room(
            work,
            place,
            RoomRecord.read(
                {
                    "name": "Full",
                    "furniture": [{"id": "table", "at_m": [1, 1], "width_m": 1, "depth_m": 1}],
                }
            ),
        )
        bare = rooms.add_room(
            work, place, RoomRecord.read({"name": "Bare", "furniture": [], "doors": []})
        )
        only = rooms.add_room(work, place, RoomRecord.read({"name": "Only", "furniture": []}))
    databases.migrate_down(settings.url, places.MIGRATIONS, "0004")
    assert "furniture" not in inspect(databases.engine(settings.url)).get_table_names()
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        assert (
            rooms.room(work, full).kept.record.furniture is None
        )  # lost on the way down, as the migration says: not known, never none
        assert rooms.room(work, bare).kept.record.furniture is None
        assert rooms.room(work, bare).kept.record.doors == ()
        assert rooms.room(work, only).kept.record.doors is None


def test_opening_hours_go_and_the_words_stay(settings: Settings) -> None:
    hours = {
        "week": [{"first": "mon", "last": "fri", "opens": "09:00", "closes": "18:00"}],
        "closed_on": ["2026-12-25"],
    }
    record = LocationRecord.read({"name": "Mill", "hours": "ask Ines", "opening_hours": hours})
    with open_work(settings) as work:
        key = locations.add_location(work, record)
        assert locations.location(work, key).kept.record.opening_hours == record.opening_hours
    databases.migrate_down(settings.url, places.MIGRATIONS, "0005")
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        kept = locations.location(work, key).kept.record
    assert (kept.hours, kept.opening_hours) == ("ask Ines", None)


def test_ways_in_and_exits_go_and_the_room_and_its_door_stay(settings: Settings) -> None:
    record = RoomRecord.read(
        {
            "name": "Loft",
            "way_in": {"steps": 19, "lift": False, "door_width_m": 0.75, "carry_m": 40},
            "doors": [{"id": "D1", "wall": "B", "width_m": 0.9, "keep_free": True}],
        }
    )
    with open_work(settings) as work:
        place = locations.add_location(work, LocationRecord(name="Mill"))
        key = rooms.add_room(work, place, record)
        assert rooms.room(work, key).kept.record == record
    databases.migrate_down(settings.url, places.MIGRATIONS, "0006")
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        kept = rooms.room(work, key).kept.record
    assert kept.doors is not None
    assert (kept.name, kept.way_in) == ("Loft", None)
    assert (kept.doors[0].width_m, kept.doors[0].keep_free) == (0.9, None)


def test_walls_after_z_go_and_the_others_stay(settings: Settings) -> None:
    turns = [-2 * math.pi * k / 30 for k in range(30)]
    plan = [[6 * math.cos(turn), 6 * math.sin(turn)] for turn in turns]
    named = {
        "facing": {"wall": "AB", "bearing_deg": 90},
        "windows": [{"id": "W1", "wall": "AA"}, {"id": "W2", "wall": "B"}],
        "doors": [{"id": "D1", "wall": "C"}],
        "outlets": [{"id": "P1", "wall": "AD"}],
        "surfaces": {"AA": {"finish": "matte"}, "A": {"finish": "gloss"}},
    }
    record = RoomRecord.read({"name": "Rotunda", "plan_m": plan, **named})
    with open_work(settings) as work:
        place = locations.add_location(work, LocationRecord(name="Mill"))
        key = rooms.add_room(work, place, record)
        assert rooms.room(work, key).kept.record == record
    databases.migrate_down(settings.url, places.MIGRATIONS, "0015")
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        kept = rooms.room(work, key).kept.record
    assert (kept.name, kept.plan_m, kept.facing) == ("Rotunda", None, None)
    assert [window.id for window in kept.windows or ()] == ["W2"]
    assert [(outlet.id, outlet.wall) for outlet in kept.outlets or ()] == [("P1", None)]
    assert kept.doors == record.doors
    assert list(kept.surfaces or {}) == ["A"]


def test_sessions_and_wrong_tries_go_and_everybody_logs_in_again(settings: Settings) -> None:
    with open_work(settings) as work:
        fill(work)
        token = people.begin_session(work, 1)
        assert people.person_of_session(work, token)
    databases.migrate_down(settings.url, places.MIGRATIONS, "0007")
    assert not {"login", "wrong_try"} & set(
        inspect(databases.engine(settings.url)).get_table_names()
    )
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        assert people.person_of_session(work, token) is None
        assert people.any_person(work)
        fill(work)  # both tables take rows again


def test_tokens_go_and_whatever_asked_by_them_is_refused(settings: Settings) -> None:
    with open_work(settings, Who(1, "Ada", "ada@example.org", "owner")) as work:
        fill(work)
        key = tokens.make_token(work, TokenRecord(name="a script"))
        assert tokens.person_of_token(work, key)
    databases.migrate_down(settings.url, places.MIGRATIONS, "0020")
    assert "token" not in inspect(databases.engine(settings.url)).get_table_names()
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings, Who(1, "Ada", "ada@example.org", "owner")) as work:
        assert tokens.person_of_token(work, key) is None
        assert tokens.person_of_token(work, tokens.make_token(work, TokenRecord(name="anew")))


def test_candidates_get_the_setups_their_scene_asks_for(settings: Settings) -> None:
    when = {"topic": "when", "strength": "must", "dates": ["2026-06-20", "2026-06-21"]}
    needs = [{**when, "from_time": "10:00", "until_time": "14:00"}]
    with open_work(settings) as work:
        fill(work)
        job = productions.add_production(work, ProductionRecord(title="Film"))
        for name, asked in (("Talk", needs), ("Walk", [])):
            scene = productions.add_scene(
                work, job, SceneRecord.read({"name": name, "needs": asked})
            )
            productions.add_candidate(work, scene, 1, CandidateRecord())
        made = [(one.candidate_id, one.record) for one in setups.setups_of(work, job)]
        assert len(made) == 3
    databases.migrate_down(settings.url, places.MIGRATIONS, "0008")
    assert "setup" not in inspect(databases.engine(settings.url)).get_table_names()
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        # property: the migration makes what proposing a room makes
        assert [(one.candidate_id, one.record) for one in setups.setups_of(work, job)] == made
        first = setups.setups_of(work, job)[0]
        setup_deeds.save_setup(work, first.id, first.version, first.record)  # its counter goes on
        setup_deeds.add_setup(work, 1, first.record)


def test_what_waits_to_be_printed_goes_and_the_production_stays(settings: Settings) -> None:
    with open_work(settings) as work:
        job = productions.add_production(work, ProductionRecord(title="Film"))
        printings.ask(work, job, Wanted())
    databases.migrate_down(settings.url, places.MIGRATIONS, "0017")
    assert "printing" not in inspect(databases.engine(settings.url)).get_table_names()
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        assert printings.under_way(work, job) == ()
        assert printings.ask(work, job, Wanted())  # the table takes rows again


def test_day_plans_and_addresses_go_and_the_production_stays(settings: Settings) -> None:
    with open_work(settings) as work:
        job, _ = film(work, call_time="07:30")
        days.add_calendar(work, job, None)
    databases.migrate_down(settings.url, places.MIGRATIONS, "0013")
    assert not {"day", "calendar"} & set(inspect(databases.engine(settings.url)).get_table_names())
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        assert days.day_kept(work, job) is None
        crew = productions.production(work, job).kept.record.crew or ()
        assert [one.call_time for one in crew] == [None, "07:30"]
        days.save_day(work, job, 0, DayRecord(crew_min=500))
        days.add_calendar(work, job, None)  # both tables take rows again


def test_whoever_was_there_keeps_what_they_did_and_the_first_is_the_owner(
    settings: Settings,
) -> None:
    with open_work(settings) as work:
        fill(work)
        for name in ("Bob", "Eve"):
            person = Person(email=f"{name}@example.org", name=name)
            people.add_person(work, person, "correct horse ladder", role="guest")
    databases.migrate_down(settings.url, places.MIGRATIONS, "0024")
    held = inspect(databases.engine(settings.url)).get_columns("person")
    assert "role" not in {column["name"] for column in held}
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        assert [one.role for one in people.everybody(work)] == ["owner", "scout", "scout"]
        assert people.person_of_session(work, people.begin_session(work, 1)) is not None


def test_links_go_and_whoever_holds_one_finds_nothing(settings: Settings) -> None:
    with open_work(settings) as work:
        job = productions.add_production(work, ProductionRecord(title="Film"))
        token = sharing.make_link(work, "day", job, LinkRecord(name="a driver"))
        assert sharing.opened(work, token).record_id == job
    databases.migrate_down(settings.url, places.MIGRATIONS, "0025")
    assert "link" not in inspect(databases.engine(settings.url)).get_table_names()
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        with pytest.raises(NotFound):
            sharing.opened(work, token)
        assert sharing.make_link(work, "day", job, LinkRecord(name="a driver"))


def test_the_mark_of_a_move_goes_and_people_save_again(settings: Settings) -> None:
    with open_work(settings) as work:
        work.db.add(Move(key="k", state="left", place="", at=work.now()))
        work.db.commit()
    for _ in range(2):
        databases.migrate_down(settings.url, places.MIGRATIONS, "0026")
        databases.migrate(settings.url, places.MIGRATIONS)
        with open_work(settings) as work:
            assert productions.add_production(work, ProductionRecord(title="Film"))


def test_lines_of_the_log_learn_what_they_are_of(settings: Settings) -> None:
    with open_work(settings) as work:
        fill(work)
    databases.migrate_down(settings.url, places.MIGRATIONS, "0026")
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        rows = work.db.execute(text("select kind, about, fields from change order by id")).all()
    # values are lost on the way down, as the migration says; what a line is of is known anew
    found = {kind: about for kind, about, _ in rows}
    assert {row.fields for row in rows} == {None}
    assert (found["room"], found["window"], found["person"]) == ("room.1", "room.1", None)
    assert found["location"] == "location.1"


def test_codes_go_and_the_place_stays(settings: Settings) -> None:
    with open_work(settings) as work:
        fill(work)
        gates.add(work, 1, GateRecord(label="gate", code="4711"))
    databases.migrate_down(settings.url, places.MIGRATIONS, "0031")
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        assert gates.of_place(work, 1) == ()
        assert gates.add(work, 1, GateRecord(label="gate", code="4711"))


def test_passkeys_go_and_the_person_stays(settings: Settings) -> None:
    with open_work(settings) as work:
        fill(work)
        work.db.add(
            Passkey(
                person_id=1,
                name="Phone",
                credential="c",
                credential_sha256="0" * 64,
                public_key="p",
                count=2**32 - 1,
                made_at=work.now(),
            )
        )
        work.commit()
    databases.migrate_down(settings.url, places.MIGRATIONS, "0032")
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings, Who(1, "Ada", "ada@example.org", "owner")) as work:
        assert passkeys.passkeys(work) == ()


def test_templates_of_prints_go_and_come_back_empty(settings: Settings) -> None:
    day = Wanted("day", date(2026, 6, 13), "letter", "feet")
    with open_work(settings) as work:
        job = productions.add_production(work, ProductionRecord(title="Film"))
        print_templates.keep_template(work, job, "Saturday", day)
        assert print_templates.template(work, job, "Saturday") == day
    databases.migrate_down(settings.url, places.MIGRATIONS, "0033")
    assert "print_template" not in inspect(databases.engine(settings.url)).get_table_names()
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        assert print_templates.templates(work, job) == ()
        print_templates.keep_template(work, job, "Saturday", day)
        assert [one.wanted for one in print_templates.templates(work, job)] == [day]


def test_what_mirrors_goes_and_the_pieces_stay(settings: Settings) -> None:
    piece = {"id": "glass", "at_m": [1, 1], "width_m": 1, "depth_m": 0.1, "mirrors": True}
    with open_work(settings) as work:
        where = LocationRecord(name="Mill", latitude_deg=52.0, longitude_deg=0.1)
        place = locations.add_location(work, where)
        room = RoomRecord.read({"name": "Hall", "furniture": [piece]})
        kept = rooms.add_room(work, place, room)
    databases.migrate_down(settings.url, places.MIGRATIONS, "0034")
    columns = inspect(databases.engine(settings.url)).get_columns("furniture")
    assert "mirrors" not in {column["name"] for column in columns}
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        (glass,) = rooms.room(work, kept).kept.record.furniture or ()
        assert (glass.id, glass.at_m, glass.mirrors) == ("glass", (1.0, 1.0), None)


def test_a_turned_photo_stands_as_its_file_says_again(settings: Settings) -> None:
    picture = BytesIO()
    Image.new("RGB", (64, 48)).save(picture, "JPEG")
    with open_work(settings) as work:
        fill(work)
        picture.seek(0)
        key = photos.add_photo(work, "room", 1, picture, "door.jpg").id
        photos.change_photos(work, {key: 1}, "turn_left")
        assert photos.photo(work, key).line.turned == "left"
    databases.migrate_down(settings.url, places.MIGRATIONS, "0029")
    assert "turned" not in {
        column["name"] for column in inspect(databases.engine(settings.url)).get_columns("photo")
    }
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings) as work:
        line = photos.photo(work, key).line
        assert (line.turned, line.width_px, line.height_px) == ("no", 64, 48)
        photos.change_photos(work, {key: line.version}, "turn_right")
        assert photos.turned_photos(work) == {key: "right"}
