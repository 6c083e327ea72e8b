"""The form of a setup."""

from __future__ import annotations

from typing import Any

from scout.records import SetupRecord
from scout.records.base import words_of
from scout.records.kept import FramingName
from scout.records.sheet import Covering
from scout.values import names, said
from scout.web.forms.base import RecordForm, Section
from scout.web.forms.fields import ChoiceField, LongField, NumberField, WholeField
from scout.web.forms.lines import in_line
from scout.web.forms.times import ClockField, DateField


class CoversField(LongField):
    """Windows and how they will be covered, one a line."""

    def read(self) -> dict[str, str] | None:
        """Coverings by window. Raises Refused naming the line."""
        found: dict[str, str] = {}
        for number, line in enumerate(self.text.splitlines(), start=1):
            if not line.strip():
                continue
            window, _, covering = line.strip().rpartition(" ")
            if not window or covering not in words_of(Covering):
                why = said("refused.cover_line", coverings=names(words_of(Covering), "or"))
                raise in_line(self.short_name, line, number, why)
            found[window.rstrip(" :")] = covering
        return found or None

    def show(self, value: Any) -> None:
        """One a line."""
        self.text = "\n".join(f"{window} {how}" for window, how in (value or {}).items())


class NamesField(LongField):
    """Names, one a line."""

    def read(self) -> list[str] | None:
        """The names in order."""
        return [line.strip() for line in self.text.splitlines() if line.strip()] or None

    def show(self, value: Any) -> None:
        """One a line."""
        self.text = "\n".join(value or ())


class SetupForm(RecordForm[SetupRecord]):
    """When a scene is shot in a room, and how the room will be then."""

    record_type = SetupRecord
    called = "setup"

    on = DateField("Date", hint="left empty: one of the scene's dates, not chosen yet")
    from_time = ClockField("From")
    until_time = ClockField("Until")
    set_up_min = WholeField(
        "Set-up takes",
        unit="min",
        hint="left empty: by the kit's lights, cables, microphones, and the windows below",
    )
    strike_min = WholeField("Strike takes", unit="min")
    framing = ChoiceField("Framing", FramingName, "framing", none="not decided")
    focal_length_mm = NumberField("Lens", unit="mm")
    covers = CoversField(
        "Windows that will be covered otherwise",
        rows=2,
        hint="one a line, such as W1 blackout; none, sheer, blind or blackout",
    )
    switched_off = NamesField(
        "Will be switched off",
        rows=2,
        hint="one a line: a noise or lamp of the room, by its name or its words, such as N1 or fridge",
    )
    note = LongField("Note", rows=2)

    sections = (
        Section("When", ("on", "from_time", "until_time", "set_up_min", "strike_min")),
        Section("Picture", ("framing", "focal_length_mm")),
        Section("The room then", ("covers", "switched_off", "note")),
    )
