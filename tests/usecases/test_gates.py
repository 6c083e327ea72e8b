"""Codes of doors: what is kept tells nobody the code, whoever sees it is written down, and they come
along wherever everything goes.

What a sealed text must do: NIST SP 800-38D (a changed or moved one does not open), from memory.
"""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from scout.errors import NotAllowed, NotFound, Refused
from scout.records import GateRecord, LocationRecord, Named
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import models
from scout.usecases import archive, erasing, gates, history, locations, moving, personal, sealing
from scout.usecases.checking import check
from scout.usecases.roles import ROLES
from scout.usecases.work import Who, Work, open_work

SECRET, NOTE = "Zq4711#", "Ines Quillmark has the key"  # invented
RECORD = GateRecord(label="Garden gate", code=SECRET, note=NOTE)
TEAM = {"owner", "scout", "producer"}  # by hand, as the task gives it


def kept(work: Work) -> tuple[int, int]:
    place = locations.add_location(work, LocationRecord(name="Mill"))
    return place, gates.add(work, place, RECORD)


def everything(work: Work) -> str:
    """All that the database holds, as text."""
    tables = models.Base.metadata.sorted_tables
    return repr([tuple(row) for one in tables for row in work.db.execute(select(one))])


def words(work: Work) -> list[str]:
    return list(work.db.scalars(select(models.Change.words).order_by(models.Change.id)))


def test_a_code_is_sealed_and_each_showing_is_written_down(work: Work) -> None:
    place, key = kept(work)
    assert SECRET not in everything(work)
    assert NOTE not in everything(work)
    told = gates.show(work, place, key)
    assert (told.label, told.code, told.note) == ("Garden gate", SECRET, NOTE)
    found = gates.of_place(work, place)
    assert found is not None
    assert found[0].shown is not None
    assert found[0].shown[1] == "Ada Example"
    gates.save(work, place, key, 1, RECORD.model_copy(update={"code": "0000"}))
    assert gates.show(work, place, key).code == "0000"
    gates.delete(work, place, key)
    assert gates.of_place(work, place) == ()
    deeds = ("added", "shown", "changed", "shown", "deleted")
    assert words(work)[1:] == [f"code of Garden gate {deed}" for deed in deeds]
    lines = history.changes(work, about=("location", place), spot=history.Spot()).items
    assert len(lines) == 6
    assert SECRET not in repr(lines)
    with pytest.raises(NotFound):
        gates.show(work, place, key)


def test_who_may(settings: Settings) -> None:
    with open_work(settings, Who(1, "Ada", "a@example.org", "owner")) as work:
        place, key = kept(work)
    for role in ROLES:
        with open_work(settings, Who(2, role, "b@example.org", role)) as work:
            if role in TEAM:
                assert gates.show(work, place, key).code == SECRET
                continue
            assert gates.of_place(work, place) is None
            assert work.db.scalars(select(models.GateCode)).all() == []  # nor by a list of ours
            deeds: list[tuple[Any, tuple[Any, ...]]] = [
                (gates.show, (place, key)),
                (gates.delete, (place, key)),
                (gates.add, (place, RECORD)),
                (gates.save, (place, key, 1, RECORD)),
            ]
            for deed, given in deeds:
                with pytest.raises(NotAllowed):
                    deed(work, *given)


def test_a_code_that_was_typed_anew_meanwhile_is_not_written_over(work: Work) -> None:
    place, key = kept(work)
    gates.save(work, place, key, 1, RECORD)
    with pytest.raises(Refused) as refused:
        gates.save(work, place, key, 1, RECORD)
    assert "Ada Example" in str(refused.value)
    elsewhere = locations.add_location(work, LocationRecord(name="Barn"))
    with pytest.raises(NotFound):
        gates.show(work, elsewhere, key)


def test_what_is_sealed_opens_by_its_key_and_at_its_place_alone() -> None:
    key, other = b"k" * 32, b"o" * 32
    sealed = sealing.seal(key, "place 1", SECRET)
    assert sealing.opened(key, "place 1", sealed) == SECRET
    assert sealing.seal(key, "place 1", SECRET) != sealed  # nobody sees that two are the same
    middle = len(sealed) // 2
    changed = sealed[:middle] + ("A" if sealed[middle] != "A" else "B") + sealed[middle + 1 :]
    of_other = sealing.seal(other, "place 1", SECRET)
    faulty = [(key, "place 2", sealed), (other, "place 1", sealed), (key, "place 1", of_other)]
    for wrong in (*faulty, (key, "place 1", changed), (key, "place 1", "1.x.y"), (key, "", "")):
        with pytest.raises(sealing.CannotOpen):
            sealing.opened(*wrong)


def test_another_secret_opens_nothing_and_the_old_one_brings_all_back(embedded: Settings) -> None:
    old = replace(embedded, secret_key="a" * 40)
    with open_work(old) as work:
        place, key = kept(work)
        assert check(work).faults == ()
    with open_work(replace(embedded, secret_key="b" * 40)) as work:
        with pytest.raises(Refused) as refused:
            gates.show(work, place, key)
        assert "another secret" in str(refused.value)
        assert [str(one) for one in check(work).faults] == [
            "1 code of doors or alarms is sealed under another secret"
        ]
    with open_work(old) as work:
        assert gates.show(work, place, key).code == SECRET


@pytest.fixture
def target(embedded: Settings, tmp_path: Path, sqlite_template: Path) -> Settings:
    """Another empty installation, which has made a key of its own."""
    made = Settings(data_dir=tmp_path / "target")
    made.data_dir.mkdir()
    shutil.copy(sqlite_template, made.data_dir / "sillbook.db")
    assert made.session_key() != embedded.session_key()
    return made


def test_an_archive_brings_codes_to_an_installation_of_another_secret(
    embedded: Settings, target: Settings, tmp_path: Path
) -> None:
    with open_work(embedded) as work:
        place, key = kept(work)
    with open_work(embedded, reading=True) as work:
        archive.export_all(work, tmp_path / "all.zip")
    with open_work(target) as work:
        archive.import_all(work, tmp_path / "all.zip")
        assert gates.show(work, place, key).code == SECRET
        assert SECRET not in everything(work)
    databases.engine(target.url).dispose()


def test_codes_move_along(embedded: Settings, target: Settings) -> None:
    with open_work(embedded) as work:
        place, key = kept(work)
    moving.move(embedded, target)
    with open_work(target) as work:
        assert gates.show(work, place, key).code == SECRET
    databases.engine(target.url).dispose()


def test_whoever_is_erased_leaves_sealed_notes_too(embedded: Settings) -> None:
    ines = Named(name="Ines Quillmark")
    with open_work(embedded) as work:
        place, key = kept(work)
        assert SECRET not in repr(personal.all_of(work, ines))
        assert erasing.found(work, ines).rows == {"gate_code": 1}
        assert erasing.erase(work, ines, lambda paper: b"").rows == {"gate_code": 1}
    with open_work(embedded) as work:
        told = gates.show(work, place, key)
        assert (told.code, told.note) == (SECRET, "somebody who left has the key")
