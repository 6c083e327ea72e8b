"""Who may log in: hashed, the first one once, and an unknown address takes as long as a wrong
password.
"""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta

import pytest
from argon2 import PasswordHasher, extract_parameters
from sqlalchemy import select, update

from scout.errors import NotAllowed, NotFound, Refused, RefusedMany
from scout.records import Person
from scout.settings import Settings
from scout.store import models
from scout.usecases import people
from scout.usecases.roles import ROLES, may, reads_as
from scout.usecases.work import Who, Work, open_work

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
    assert people.person_of_session(work, people.begin_session(work, key)) == who
    for email, password in (
        ("ada@example.org", "wrong"),
        ("ada@example.org", ""),
        ("nobody@example.org", PASSWORD),
        ("a\0b@x", PASSWORD),
        ("", ""),
    ):
        assert people.log_in(work, email, password) is None
    assert people.log_in(work, "nobody@example.org", "nobody has this password") is None
    for token in ("", ".", str(key), "x" * 43, "é", "\ud800"):
        assert people.person_of_session(work, token) is None, token


def test_a_session_ends_on_the_server(work: Work) -> None:
    key = people.add_person(work, ADA, PASSWORD)
    work.who = people.log_in(work, "ada@example.org", PASSWORD)
    first, second, third = (people.begin_session(work, key, agent) for agent in ("A", "B", None))
    assert [line.is_this for line in people.sessions(work, first)] == [False, False, True]
    people.end_session(work, first)
    assert people.person_of_session(work, first) is None
    assert people.person_of_session(work, second) is not None
    people.end_one(work, people.sessions(work, second)[-1].id)
    assert people.person_of_session(work, second) is None
    people.change_password(work, PASSWORD, "another good one")
    assert people.person_of_session(work, third) is None
    kept = work.db.scalars(select(models.Login.token_sha256)).all()
    assert kept == []


def test_a_session_lasts_so_many_days(work: Work) -> None:
    key = people.add_person(work, ADA, PASSWORD)
    now = datetime(2026, 6, 1, tzinfo=UTC)
    work.now = lambda: now
    token = people.begin_session(work, key)
    for days, lasts in ((13.9, True), (14.1, False)):
        work.now = lambda later=now + timedelta(days=days): later  # type: ignore[misc]
        assert (people.person_of_session(work, token) is not None) is lasts


def test_nobody_ends_the_sessions_of_others(work: Work) -> None:
    people.add_person(work, ADA, PASSWORD)
    eve = people.add_person(work, Person(email="eve@example.org", name="Eve"), PASSWORD)
    token = people.begin_session(work, eve)
    work.who = people.log_in(work, "ada@example.org", PASSWORD)
    other = work.db.scalars(select(models.Login.id)).one()
    with pytest.raises(NotFound):
        people.end_one(work, other)
    assert people.person_of_session(work, token) is not None


def test_a_person_removed_is_nobody_at_once(work: Work) -> None:
    people.add_person(work, Person(email="eve@example.org", name="Eve"), PASSWORD)
    key = people.add_person(work, ADA, PASSWORD, role="owner")
    token = people.begin_session(work, key)
    people.remove_person(work, " ADA@example.org")
    assert people.person_of_session(work, token) is None
    assert [one.email for one in people.everybody(work)] == ["eve@example.org"]
    with pytest.raises(NotFound):
        people.remove_person(work, "ada@example.org")


def test_two_owners_who_demote_each_other_leave_one(settings: Settings) -> None:
    with open_work(settings) as work:
        for name in ("ada", "eve"):
            person = Person(email=f"{name}@example.org", name=name)
            people.add_person(work, person, PASSWORD, role="owner")
    start, refused = threading.Barrier(2), []

    def demote(name: str) -> None:
        start.wait()
        try:
            with open_work(settings) as work:
                people.set_role(work, f"{name}@example.org", "guest")
        except Refused as refusal:
            refused.append(refusal.path)

    threads = [threading.Thread(target=demote, args=(name,)) for name in ("ada", "eve")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert refused == ["role"]
    with open_work(settings, reading=True) as work:
        assert sorted(one.role for one in people.everybody(work)) == ["guest", "owner"]


def test_only_an_owner_says_who_may_do_what(work: Work) -> None:
    key = people.add_person(work, ADA, PASSWORD)
    for role in ROLES[1:]:
        work.who = Who(key, "Ada", "ada@example.org", role)
        with pytest.raises(NotAllowed):
            people.set_role(work, "ada@example.org", "owner")
        with pytest.raises(NotAllowed):
            people.add_person(work, Person(email="eve@example.org", name="Eve"), PASSWORD)
        with pytest.raises(NotAllowed):
            people.remove_person(work, "ada@example.org")


def test_a_role_nobody_knows_may_do_nothing_but_look(work: Work) -> None:
    people.add_person(work, ADA, PASSWORD)
    work.db.execute(update(models.Person).values(role="king"))
    who = people.log_in(work, "ada@example.org", PASSWORD)
    assert who is not None
    assert who.role == "guest"
    assert not may("king", "read", "location")
    assert reads_as("king") == "crew"


def test_forty_guesses_at_once_are_ten(settings: Settings) -> None:
    start, granted = threading.Barrier(40), []

    def guess() -> None:
        start.wait()
        with open_work(settings) as work:
            if people.may_try(work, "ada@example.org", "203.0.113.9", None) is not None:
                granted.append(1)

    threads = [threading.Thread(target=guess) for _ in range(40)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(granted) == people.TRIES_AN_ACCOUNT


def test_tries_come_back_with_time_and_with_the_right_password(work: Work) -> None:
    whose = ("ada@example.org", "203.0.113.9", None)
    now = datetime(2026, 6, 1, tzinfo=UTC)
    work.now = lambda: now
    for _ in range(people.TRIES_AN_ACCOUNT):
        taken = people.may_try(work, *whose)
    assert taken is not None
    assert people.may_try(work, *whose) is None
    assert people.may_try(work, "bob@example.org", "198.51.100.7", None) is not None
    assert people.may_try(work, *whose[:2], "a known browser") is not None, (
        "guessing elsewhere keeps nobody out who has been here before"
    )
    people.was_right(work, taken, *whose)
    assert people.may_try(work, *whose) is not None
    work.now = lambda: now + people.TRIES_REST + timedelta(seconds=1)
    assert people.may_try(work, *whose) is not None


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


@pytest.mark.parametrize(
    "password",
    [
        "",
        "short",
        "x" * 1001,
        # lists of leaked passwords are full of these; by hand: the address and the name of Ada
        "aaaaaaaaaa",
        "1234567890",
        "ada@example.org",
        "password123",
        "qwertyuiop",
    ],
)
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
