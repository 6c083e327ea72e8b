"""A second step at log-in: codes as the standard has them, each once, and a way back in."""

from __future__ import annotations

import base64
import threading
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import select

from scout.errors import NotAllowed, Refused
from scout.records import Person
from scout.settings import Settings
from scout.store import models
from scout.usecases import codes, people
from scout.usecases.work import Who, Work, open_work
from tests.web.conftest import quick_hashes

__all__ = ["quick_hashes"]  # argon2 with little work

PASSWORD = "correct horse battery"  # invented
# Source: RFC 6238, appendix B, SHA-1: the secret is the ASCII "12345678901234567890"; the last six
# of its eight digits are the code of six
SECRET = base64.b32encode(b"12345678901234567890").decode()
PUBLISHED = {59: "94287082", 1111111109: "07081804", 1234567890: "89005924", 2000000000: "69279037"}


def began(work: Work, at: int) -> int:
    """Ada, whose phone has the secret of the standard, at a time in seconds since 1970."""
    key = people.add_person(work, Person(name="Ada", email="ada@example.org"), PASSWORD)
    work.who = Who(key, "Ada", "ada@example.org", "owner")
    codes.begin(work)
    row = work.db.get(models.SecondStep, key)
    assert row is not None
    row.secret = SECRET
    work.db.commit()
    set_clock(work, at)
    return key


def set_clock(work: Work, at: int) -> None:
    work.now = lambda: datetime.fromtimestamp(at, UTC)


def test_the_published_codes_are_right_once_and_in_their_time(work: Work) -> None:
    key = began(work, 59)
    assert not codes.is_on(work, key)  # nobody is asked before a first code was right
    given = codes.confirm(work, PUBLISHED[59][2:])
    assert codes.is_on(work, key)
    assert codes.passes(work, key, PUBLISHED[59][2:]) is None  # used
    for at, eight in list(PUBLISHED.items())[1:]:
        for late in (-60, 61):
            set_clock(work, at + late)
            assert codes.passes(work, key, eight[2:]) is None
        set_clock(work, at + 30)  # half a minute late
        who = codes.passes(work, key, f" {eight[2:5]} {eight[5:]}")
        assert who is not None
        assert who.name == "Ada"
        assert codes.passes(work, key, eight[2:]) is None
        for wrong in ("", "000000", "٠٠٠٠٠٠", "é", "1" * 5000):
            assert codes.passes(work, key, wrong) is None
    assert len(set(given)) == 10


def test_a_recovery_code_works_once_and_only_its_hash_is_kept(work: Work) -> None:
    key = began(work, 59)
    given = codes.confirm(work, PUBLISHED[59][2:])
    kept = set(work.db.scalars(select(models.RecoveryCode.code_sha256)))
    assert {people.mark_of(code.replace("-", "")) for code in given} == kept
    assert codes.passes(work, key, given[3].upper()) is not None
    assert codes.passes(work, key, given[3]) is None
    line = codes.standing(work)
    assert line is not None
    assert (line.left, line.secret, line.address) == (9, None, None)
    with pytest.raises(Refused):
        codes.anew(work, "wrong")
    again = codes.anew(work, PASSWORD)
    assert codes.passes(work, key, given[4]) is None
    assert codes.passes(work, key, again[0]) is not None


def test_of_two_who_send_one_code_at_once_one_comes_in(settings: Settings) -> None:
    with open_work(settings) as work:
        key = began(work, 59)
        codes.confirm(work, PUBLISHED[59][2:])
    start, came = threading.Barrier(2), []

    def send() -> None:
        with open_work(settings) as work:
            set_clock(work, 1234567890)
            start.wait()
            came.append(codes.passes(work, key, PUBLISHED[1234567890][2:]) is not None)

    threads = [threading.Thread(target=send) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(came) == [False, True]


def test_it_ends_by_the_password_or_by_an_owner(embedded: Settings) -> None:
    with open_work(embedded) as work:
        key = began(work, 59)
        codes.confirm(work, PUBLISHED[59][2:])
        token = people.begin_session(work, key)
        with pytest.raises(Refused):
            codes.switch_off(work, "wrong")
        work.who = Who(key, "Ada", "ada@example.org", "scout")
        with pytest.raises(NotAllowed):
            codes.end(work, "ada@example.org")
        work.who = None  # on the machine itself
        codes.end(work, "ada@example.org")
        assert not codes.is_on(work, key)
        work.now = lambda: datetime.now(UTC) + timedelta(seconds=1)
        assert people.person_of_session(work, token) is None
        assert work.db.scalars(select(models.RecoveryCode)).all() == []
        with pytest.raises(Refused):
            codes.end(work, "ada@example.org")
