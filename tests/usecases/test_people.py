"""Who may log in: hashed, the first one once, and an unknown address takes as long as a wrong
password.
"""

from __future__ import annotations

import threading

import pytest
from argon2 import PasswordHasher, extract_parameters
from sqlalchemy import select

from scout.errors import NotAllowed, Refused, RefusedMany
from scout.records import Person
from scout.settings import Settings
from scout.store import models
from scout.usecases import people
from scout.usecases.work import Work, open_work

ADA = Person(email="Ada@Example.org", name="Ada")
PASSWORD = "correct horse battery"  # invented


def hash_of_ada(work: Work) -> str:
    found = work.db.scalar(select(models.Person.password_hash))
    assert found is not None
    return found


def test_the_password_is_kept_as_an_argon2_hash_alone(work: Work) -> None:
    people.add_person(work, ADA, PASSWORD)
    kept = hash_of_ada(work)
    assert kept.startswith("$argon2id$")
    assert PASSWORD not in kept
    # Source: RFC 9106, 4: argon2id; its second recommended option is 64 MiB and 3 passes
    found = extract_parameters(kept)
    assert (found.memory_cost, found.time_cost) >= (65_536, 3)


def test_logging_in(work: Work) -> None:
    key = people.add_person(work, ADA, PASSWORD)
    who = people.log_in(work, " ADA@example.ORG ", PASSWORD)
    assert who is not None
    assert (who.id, who.name, who.email) == (key, "Ada", "ada@example.org")
    assert people.person_of_session(work, people.session_name(work, key)) == who
    for email, password in (
        ("ada@example.org", "wrong"),
        ("ada@example.org", ""),
        ("nobody@example.org", PASSWORD),
        ("a\0b@x", PASSWORD),
        ("", ""),
    ):
        assert people.log_in(work, email, password) is None
    assert people.log_in(work, "nobody@example.org", "nobody has this password") is None
    mark = people.session_name(work, key).partition(".")[2]
    for name in (
        "",
        ".",
        str(key),
        f"{key}.",
        f"{key}.{mark}0",
        f"0.{mark}",
        f"-1.{mark}",
        f"{10**30}.{mark}",
        f"{key}.é",
        f"²{key}.{mark}",
    ):
        assert people.person_of_session(work, name) is None, name
    assert people.session_name(work, 10**30) == ""


def test_an_unknown_address_is_verified_like_a_known_one(
    work: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    people.add_person(work, ADA, PASSWORD)
    verified: list[str] = []

    class Watching(PasswordHasher):
        def verify(self, hash: str | bytes, password: str | bytes) -> bool:  # noqa: A002  # the library's own name
            verified.append(str(hash))
            return bool(super().verify(hash, password))

    monkeypatch.setattr(people, "_hasher", Watching())
    people.log_in(work, "ada@example.org", "wrong")
    people.log_in(work, "nobody@example.org", "wrong")
    assert len(verified) == 2
    assert (
        verified[0].rsplit("$", 2)[:-2] == verified[1].rsplit("$", 2)[:-2]
    )  # the same kind of hash at the same cost


def test_an_older_hash_is_renewed_when_its_owner_logs_in(work: Work) -> None:
    people.add_person(work, ADA, PASSWORD)
    row = work.db.scalars(select(models.Person)).one()
    row.password_hash = weak = PasswordHasher(time_cost=1, memory_cost=1024).hash(PASSWORD)
    work.db.commit()
    assert people.log_in(work, "ada@example.org", PASSWORD) is not None
    assert hash_of_ada(work) != weak
    assert people.log_in(work, "ada@example.org", PASSWORD) is not None


@pytest.mark.parametrize("password", ["", "short", "123456789", "x" * 1001])
def test_a_password_too_short_or_too_long_is_refused(work: Work, password: str) -> None:
    with pytest.raises(RefusedMany, match="password"):
        people.add_person(work, ADA, password)
    assert not people.any_person(work)


def test_an_address_is_there_once_however_it_is_cased(work: Work) -> None:
    people.add_person(work, ADA, PASSWORD)
    with pytest.raises(RefusedMany, match="email"):
        people.add_person(work, Person(email="ADA@EXAMPLE.ORG", name="Ada"), PASSWORD)


def test_the_first_person_is_made_once_even_by_two_at_once(settings: Settings) -> None:
    start, outcomes = threading.Barrier(3), []

    def first(number: int) -> None:
        start.wait()
        try:
            with open_work(settings) as work:
                people.add_person(
                    work,
                    Person(email=f"p{number}@example.org", name="First"),
                    PASSWORD,
                    only_first=True,
                )
            outcomes.append("added")
        except NotAllowed:
            outcomes.append("refused")

    threads = [threading.Thread(target=first, args=(number,)) for number in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["added", "refused", "refused"]


def test_changing_the_password(work: Work) -> None:
    people.add_person(work, ADA, PASSWORD)
    work.who = people.log_in(work, "ada@example.org", PASSWORD)
    with pytest.raises(Refused, match="old"):
        people.change_password(work, "wrong", "another good one")
    with pytest.raises(Refused, match="new"):
        people.change_password(work, PASSWORD, "short")
    people.change_password(work, PASSWORD, "another good one")
    assert people.log_in(work, "ada@example.org", PASSWORD) is None
    assert people.log_in(work, "ada@example.org", "another good one") is not None
    work.who = None
    with pytest.raises(NotAllowed):
        people.change_password(work, "another good one", PASSWORD)
