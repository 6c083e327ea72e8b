"""Backups: a file that holds everything, a folder that keeps each file once; what is cut or altered is found."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from scout.errors import Damaged, Refused
from scout.settings import Settings
from scout.usecases import archive, photos
from scout.usecases.backups import back_up, restore
from scout.usecases.checking import check
from scout.usecases.work import open_work
from tests.usecases.test_archive import fill, picture, rows


@pytest.fixture
def source(embedded: Settings) -> Settings:
    """An installation with one of everything."""
    with open_work(embedded) as work:
        fill(work)
    return embedded


def empty(folder: Path, template: Path) -> Settings:
    made = Settings(data_dir=folder)
    made.data_dir.mkdir()
    shutil.copy(template, made.data_dir / "sillbook.db")
    return made


@pytest.mark.parametrize("target", ["all.zip", "backups"])
def test_what_was_backed_up_comes_back_row_for_row_and_byte_for_byte(
    source: Settings, tmp_path: Path, sqlite_template: Path, target: str
) -> None:
    with open_work(source, reading=True) as work:
        file, count = back_up(work, tmp_path / target)
        before = rows(work)
    other = empty(tmp_path / "other", sqlite_template)
    with open_work(other) as work:
        assert restore(work, tmp_path / target) == (file, count)
    with open_work(other, reading=True) as work:
        assert rows(work) == before
        assert check(work).faults == ()
        assert count == len(list(work.files.all())) == 2
    for folder in ("originals", "packets"):
        mine = {p.relative_to(source.data_dir) for p in source.data_dir.glob(f"{folder}/**/*")}
        assert mine == {
            p.relative_to(other.data_dir) for p in other.data_dir.glob(f"{folder}/**/*")
        }
        for name in mine:
            if (source.data_dir / name).is_file():
                assert (source.data_dir / name).read_bytes() == (other.data_dir / name).read_bytes()


def test_a_further_backup_into_a_folder_costs_what_is_new(source: Settings, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    with open_work(source, reading=True) as work:
        first, _ = back_up(work, folder)
    files = {path: path.stat().st_mtime_ns for path in (folder / "files").glob("??/*")}
    assert len(files) == 4  # two photos, two packets
    with open_work(source) as work:
        photos.add_photo(work, "location", 1, picture("green"), "c.jpg")
    with open_work(source, reading=True) as work:
        second, count = back_up(work, folder)
    after = {path: path.stat().st_mtime_ns for path in (folder / "files").glob("??/*")}
    assert (count, len(after)) == (3, 5)
    assert files.items() <= after.items()
    assert first < second  # the newest is the last by name, and is what restore takes
    assert archive.proved(first) == 2  # the older one stays whole


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-200])


def flip(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 0x40
    path.write_bytes(data)


@pytest.mark.parametrize("harm", [cut, flip, Path.unlink])
def test_a_file_of_a_folder_that_is_not_what_was_kept_is_found(
    source: Settings, tmp_path: Path, sqlite_template: Path, harm: Callable[[Path], None]
) -> None:
    with open_work(source, reading=True) as work:
        file, _ = back_up(work, tmp_path / "backups")
    harm(max((tmp_path / "backups" / "files").glob("??/*"), key=lambda path: path.stat().st_size))
    with pytest.raises(Damaged):
        archive.proved(file)
    other = empty(tmp_path / "other", sqlite_template)
    with open_work(other) as work, pytest.raises(Damaged):
        restore(work, tmp_path / "backups")
    with open_work(other, reading=True) as work:
        assert not any(rows(work).values())
        assert list(work.files.all()) == []
    with open_work(source, reading=True) as work:  # and the next backup makes it whole again
        again, _ = back_up(work, tmp_path / "backups")
    assert archive.proved(again) == archive.proved(file) == 2


def test_every_byte_of_a_backup_that_turns_is_found_or_of_no_matter(
    source: Settings, tmp_path: Path
) -> None:
    # property: sampled over the whole file; a turned byte is refused, or the archive reads the same
    with open_work(source, reading=True) as work:
        file, _ = back_up(work, tmp_path / "all.zip")
    whole = file.read_bytes()
    held = 0
    for place in range(0, len(whole), max(1, len(whole) // 150)):
        data = bytearray(whole)
        data[place] ^= 0x10
        file.write_bytes(data)
        try:
            assert archive.proved(file) == 2
            held += 1
        except (Damaged, Refused):
            continue
    assert held < 30  # dates and attributes of members, which nothing reads


def test_a_folder_without_backups_is_said(source: Settings, tmp_path: Path) -> None:
    with open_work(source) as work, pytest.raises(Refused, match="holds no backup"):
        restore(work, tmp_path)
