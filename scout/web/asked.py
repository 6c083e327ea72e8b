"""What an address asks for, read and judged: numbers, dates, times, versions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from flask import request

from scout.assess.setup import Setup
from scout.errors import Refused, ScoutError
from scout.pages import assessing
from scout.store.queries.common import Spot
from scout.usecases.shown import CandidateLine, RoomPage
from scout.web.forms.times import read_date, with_offset
from scout.web.work import work

LARGEST = 2**31 - 1


@dataclass(frozen=True)
class Question:
    """Which day, at what time, for which scene and with whose kit a room is looked at."""

    on: date
    at: datetime | None
    at_text: str
    production_id: int | None
    scene: CandidateLine | None = None

    @property
    def scene_id(self) -> int | None:
        """The scene that the room is judged for."""
        return self.scene.scene_id if self.scene is not None else None

    @property
    def kit_of(self) -> int | None:
        """The production whose kit the room is judged with."""
        if self.production_id is None and self.scene is not None:
            return self.scene.production_id
        return self.production_id

    def link(self, **more: Any) -> dict[str, Any]:
        """The parts of an address that ask for the same, with more."""
        return {
            "on": self.on.isoformat(),
            "production": self.production_id,
            "for": self.scene_id,
            **more,
        }


def number_asked(name: str) -> int | None:
    """A whole number of the address, or None. Raises Refused."""
    return _whole(name, request.args.get(name, ""))


def spot_asked() -> Spot:
    """Where the page of a list begins, as the address says. Raises Refused."""
    return Spot(number_asked("after"), number_asked("before"), request.args.get("end") == "1")


def chosen_key(key: int | None) -> tuple[int, ...]:
    """What is chosen already in a list, which offers it whatever else it leaves out."""
    return () if key is None else (key,)


def number_sent(name: str) -> int | None:
    """A whole number of a form, or None. Raises Refused."""
    return _whole(name, request.form.get(name, ""))


def _whole(name: str, text: str) -> int | None:
    text = text.strip()
    if not text:
        return None
    if not (text.isdecimal() and text.isascii() and len(text) < 12 and int(text) <= LARGEST):
        raise Refused(name, text, "is not a whole number that can be meant here")
    return int(text)


def version_sent() -> int:
    """The version a button was shown for; 0, which nothing has, when it was not sent."""
    return number_sent("version") or 0


def date_asked(name: str = "on") -> date | None:
    """A date of the address, or None. Raises Refused."""
    text = request.args.get(name, "").strip()
    return date.fromisoformat(read_date(text, name)) if text else None


def question(page: RoomPage) -> Question:
    """How the address wants a room looked at. Raises Refused."""
    production_id, scene_id = number_asked("production"), number_asked("for")
    scene = assessing.chosen(page.candidates, production_id, scene_id)
    on = date_asked() or assessing.default_date(work(), page.kept.id, production_id, scene_id)
    text, zone, at = request.args.get("at", "").strip(), page.location.record.timezone, None
    if text:
        if zone is None:
            raise Refused("at", text, "cannot be placed: the location's time zone is not recorded")
        try:
            naive = datetime.fromisoformat(f"{on.isoformat()}T{text}")
        except ValueError:
            raise Refused("at", text, "is not a time of day; give HH:MM, such as 14:00") from None
        at = with_offset(naive.replace(tzinfo=None), zone, "at", text)
    return Question(on, at, text, production_id, scene)


def setup_or_fault(page: RoomPage, asked: Question) -> Setup | str:
    """What a room is judged for, or the reason why it cannot be."""
    try:
        return assessing.setup_of(
            work(),
            page.kept.id,
            asked.on,
            production_id=asked.production_id,
            scene_id=asked.scene_id,
        )
    except ScoutError as error:
        return str(error)
