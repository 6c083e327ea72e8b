"""The form of a production's times and limits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scout.records.day import DayRecord
from scout.web.forms.base import RecordForm, RowForm, Rows, Section
from scout.web.forms.fields import ChoiceField, WholeField
from scout.web.forms.times import ClockField


class KeyField(ChoiceField):
    """One of several records, chosen by name and kept by key."""

    def read(self) -> int | str | None:
        """The key; anything else as it stands, for the record to refuse."""
        return (
            int(self.text) if self.text.isdecimal() and self.text.isascii() else self.text or None
        )


class MinutesField(WholeField):
    """Whole minutes."""

    def read(self) -> float | None:
        """The minutes typed, whole where they are."""
        typed = super().read()
        return int(typed) if typed is not None and typed == int(typed) else typed


class SceneTimeRow(RowForm):
    """How long one scene is shot."""

    scene_id = KeyField("Scene", choices=[("", "")], needed=True, none="choose")
    length_min = MinutesField("Length", unit="min", hint="of shooting, without set-up and strike")
    cover_room_id = KeyField(
        "Cover set", choices=[("", "")], none="none", hint="where it goes in rain"
    )


class SceneRows(Rows):
    """The scenes' times, each choosing among this production's scenes."""

    offered: tuple[Sequence[tuple[str, str]], Sequence[tuple[str, str]]] = ((), ())

    def offer(self, scenes: Sequence[tuple[int, str]], rooms: Sequence[tuple[int, str]]) -> None:
        """The scenes and the rooms that can be chosen."""
        self.offered = (
            [(str(key), name) for key, name in scenes],
            [(str(key), name) for key, name in rooms],
        )
        for entry in self.entries:
            self._dressed(entry.form)

    def _dressed(self, form: Any) -> Any:
        form.scene_id.choices, form.cover_room_id.choices = map(list, self.offered)
        return form

    @property
    def pattern(self) -> Any:
        """An empty row for the page to copy."""
        return self._dressed(super().pattern)


class DayForm(RecordForm[DayRecord]):
    """The crew's limits and the scenes' times."""

    record_type = DayRecord
    called = "day"

    from_time = ClockField("Not before")
    until_time = ClockField("Not after")
    crew_min = MinutesField("Longest day", unit="min", hint="left empty: 600 (10 h)")
    rest_min = MinutesField("Rest between days", unit="min", hint="left empty: 600 (10 h)")
    meal_min = MinutesField("A meal takes", unit="min", hint="left empty: 60; 0: no meals")
    meal_within_min = MinutesField(
        "A meal after the first call, at latest",
        unit="min",
        hint="left empty: 360, common practice",
    )
    scenes = SceneRows(SceneTimeRow, "Scenes' times", row="scene", folded=True)

    sections = (
        Section(
            "The crew's day",
            ("from_time", "until_time", "crew_min", "rest_min", "meal_min", "meal_within_min"),
            "Left empty, what is common is taken and said. Local agreements and rules decide.",
        ),
        Section("Scenes", ("scenes",)),
    )
