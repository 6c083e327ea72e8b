"""Writers of one process go in the order in which they came, and nobody's turn is lost."""

from __future__ import annotations

import time
from threading import Thread

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from scout.errors import Unavailable
from scout.settings import Settings
from scout.store import engine as databases
from scout.store.writers import Line
from scout.usecases.work import open_work


def test_whoever_came_first_writes_first(embedded: Settings) -> None:
    # property: SQLite alone lets in whoever happens to be awake
    order: list[int] = []

    def write(number: int) -> None:
        with open_work(embedded) as work:
            work.db.execute(text("update room set name = null"))
            order.append(number)
            work.db.commit()

    threads = []
    with open_work(embedded) as first:
        first.db.execute(text("update room set name = null"))
        for number in range(8):
            threads.append(Thread(target=write, args=(number,)))
            threads[-1].start()
            time.sleep(0.02)
        assert order == []
        first.db.commit()
        for thread in threads:
            thread.join(20)
    assert order == list(range(8))


@pytest.mark.parametrize("ending", ["commit", "rollback", "fails", "left"])
def test_the_next_one_is_let_in_however_a_writer_ends(embedded: Settings, ending: str) -> None:
    made = databases.engine(embedded.url)
    with made.connect() as connection:
        connection.execute(text("update room set name = null"))
        if ending == "fails":
            with pytest.raises(DatabaseError):
                connection.execute(text("select * from nowhere"))
            connection.rollback()
        elif ending != "left":
            getattr(connection, ending)()
        if ending != "left":  # while the first is not given back yet
            with made.begin() as other:
                other.execute(text("update room set name = null"))
    with made.begin() as other:
        other.execute(text("update room set name = null"))


def test_who_waits_in_vain_is_told_and_holds_nobody_up(
    embedded: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(databases, "BUSY_TIMEOUT_MS", 100)
    databases.engine(embedded.url).dispose()
    with open_work(embedded) as first:
        first.db.execute(text("update room set name = null"))
        with pytest.raises(Unavailable, match="locked"), open_work(embedded) as second:
            second.db.execute(text("update room set name = null"))
        with open_work(embedded, reading=True) as reader:
            reader.db.execute(text("select name from room"))
        first.db.commit()
    with open_work(embedded) as third:
        third.db.execute(text("update room set name = null"))


def test_by_hand_a_line() -> None:
    line = Line()
    assert line.enter(0.0)
    assert not line.enter(0.01), "taken"
    line.leave()
    assert line.enter(0.0), "whoever left in vain is in nobody's way"
