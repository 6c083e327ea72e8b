"""One truth of the day: every page, the command and the packet give a scene the same hours."""

from __future__ import annotations

import functools
import html
import io
import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest
from flask import Flask
from pypdf import PdfReader

from scout.cli.day_command import spoken
from scout.pages.day import planned
from scout.pages.day.plan import DayPlan, day_plan
from scout.pages.packet.printing import PRINTER
from scout.records import SetupRecord
from scout.records.day import PlacedScene
from scout.settings import Settings
from scout.usecases import days, packets, productions, revisions, setups
from scout.usecases import work as works
from scout.usecases.demo import demonstrated
from scout.usecases.work import Work, open_work
from tests.days import bare_demo
from tests.packet.printed import words_of
from tests.web.conftest import WEIR, Browser, logged_in

WINDOWS = {
    "The binder talks": "10:00 to 14:00",
    "The whole shop at work": "09:00 to 16:00",
    "Letters read aloud": "09:30 to 12:30",
    "Tea at the back": "14:30 to 16:00",
}
HOURS = re.compile(r"\b\d\d:\d\d(?:\s*[+-]\d\d:\d\d)? to \d\d:\d\d\b")


@dataclass
class Demo:
    """The demonstration without its photos, its clock, and somebody who reads it."""

    settings: Settings
    job: int
    ada: Browser
    now: datetime

    def text(self, path: str) -> str:
        page = self.ada.get(path)
        assert page.status_code == 200, path
        main = page.text.partition("<main")[2]
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", main)).split())

    def plan(self) -> DayPlan:
        with open_work(self.settings, reading=True) as work:
            return day_plan(work, self.job)

    def keep(self, placed: tuple[PlacedScene, ...] | None) -> None:
        with open_work(self.settings) as work:
            kept = days.day_kept(work, self.job)
            assert kept is not None
            days.save_plan(work, self.job, kept.version, placed)

    def packet(self) -> str:
        with open_work(self.settings) as work:
            line = packets.print_packet(work, self.job, PRINTER, revisions.Wanted("day"))
            body = revisions.packet_file(work, line.id)[0].read_bytes()
        return words_of(PdfReader(io.BytesIO(body)))


@pytest.fixture
def demo(app: Flask, embedded: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Demo:
    monkeypatch.setattr("scout.usecases.people.any_person", lambda work: False)
    made = Demo(embedded, 0, logged_in(app), datetime(2026, 6, 19, 12, tzinfo=UTC))
    with open_work(embedded) as work:
        made.job = bare_demo(work, tmp_path / "demo")[2]
    monkeypatch.setattr(works, "Work", functools.partial(Work, now=lambda: made.now))
    return made


def hours(begin: datetime, end: datetime) -> str:
    return f"{begin:%H:%M} to {end:%H:%M}"


def test_each_page_the_command_and_the_packet_give_a_scene_the_same_hours(demo: Demo) -> None:
    # property: one answer, whoever is asked; the plan is one that nobody could guess from the
    # scenes' own hours, for a hand moved one scene by 25 minutes
    placed = list(demo.plan().placed)
    moved = next(one for one in placed if one.on == date(2026, 6, 21))
    at = datetime.combine(moved.on, time.fromisoformat(moved.at)) + timedelta(minutes=25)
    placed[placed.index(moved)] = moved.model_copy(update={"at": f"{at:%H:%M}"})
    demo.keep(tuple(placed))
    plan, packet = demo.plan(), demo.packet()
    assert plan.kept
    assert len(plan.rows) == 4
    told = " ".join(spoken(plan))
    with open_work(demo.settings, reading=True) as work:
        shots = {shot.scene_id: shot for shot in planned.shots(work, demo.job)}
    day_page = demo.text(f"/productions/{demo.job}/day")
    home = demo.text("/")
    assert "All of it is invented" in home
    for row in plan.rows:
        if row.set_up_from < row.begin:
            assert f"set-up from {row.set_up_from:%H:%M}, strike until" in told
    for row in plan.rows:  # each scene says what it is there to show
        shows = dict(demonstrated(demo.settings))[row.scene]
        assert shows in home
    for row in plan.rows:
        said = hours(row.begin, row.end)
        shot = shots[row.scene_id]
        assert (shot.begin, shot.end, shot.set_up_from, shot.strike_until) == (
            row.begin,
            row.end,
            row.set_up_from,
            row.strike_until,
        )
        demo.now = datetime(row.on.year, row.on.month, row.on.day, tzinfo=UTC)
        room = demo.text(f"/rooms/{row.room_id}?for={row.scene_id}")
        pages = {
            "home": demo.text("/"),
            "scene": demo.text(f"/scenes/{row.scene_id}"),
            "day": day_page,
            "command": told,
            "packet": packet,
            "room": room[: room.index("Where things stand")],
        }
        for name, text in pages.items():
            assert said in text, (row.scene, name)
        # not the hours that the scene may be shot in, which the scenario names
        assert WINDOWS[row.scene] not in pages["home"] + pages["room"] + packet
        for call in plan.calls:
            if call.on == row.on:
                for name in ("home", "room", "day"):
                    assert f"{call.at:%H:%M}" in pages[name], name
                    assert call.person in pages[name], name


def test_a_plan_that_is_changed_or_dropped_is_followed(demo: Demo) -> None:
    row = next(row for row in demo.plan().rows if row.on == date(2026, 6, 20))
    window = "10:00 to 14:00"  # what the scenario asks for

    def room() -> str:
        text = demo.text(f"/rooms/{row.room_id}?for={row.scene_id}")
        found = HOURS.search(text)
        assert found
        return found[0]

    assert room() == window
    assert "Nobody kept a plan" in demo.text("/")
    placed = demo.plan().placed
    demo.keep(placed)
    assert room() == hours(row.begin, row.end)
    assert "Nobody kept a plan" not in demo.text("/")
    at = {"at": "11:15"}
    demo.keep(
        tuple(one.model_copy(update=at) if one.scene_id == row.scene_id else one for one in placed)
    )
    assert room() == "11:15 to 13:45"  # by hand: the scenario's 150 minutes
    # a setup moved to another date: the plan says nothing of it any more, everywhere
    with open_work(demo.settings) as work:
        candidate = next(
            line
            for line in productions.scene(work, row.scene_id).candidates
            if line.room_id == row.room_id
        )
        (line,) = [
            one for one in planned.setups_of(work, demo.job) if one.candidate_id == candidate.id
        ]
        record = line.record.model_copy(update={"on": date(2026, 6, 27)})
        setups.save_setup(
            work, line.id, line.version, SetupRecord.read(record.model_dump(mode="json"), "")
        )
    assert row.scene_id not in {one.scene_id for one in demo.plan().rows}
    assert "is not in this plan" in demo.text(f"/productions/{demo.job}/day")
    demo.keep(None)
    assert room() == window


def test_a_phone_is_led_calls_and_writes(ada: Browser, place: str) -> None:
    contact = {
        "contacts-0-name": "Eve",
        "contacts-0-phone": "+44 1632 960101",
        "contacts-0-email": "eve+keys@example.org",
    }
    ada.done(f"{place}/edit", {**WEIR, **contact, "version": "1"})
    page = html.unescape(ada.get(place).text)
    assert 'href="geo:52.2,0.12"' in page  # RFC 5870
    assert 'href="tel:+441632960101"' in page  # RFC 3966, 3: a global number begins with its plus
    assert 'href="mailto:eve%2Bkeys@example.org"' in page  # RFC 6068: + stands for itself, escaped
