"""Forms of recordings and of noises that come back."""

from __future__ import annotations

from typing import Any

from scout.records.sounds import NoiseWindowRecord, RecordingRecord
from scout.web.forms.base import RecordForm, Section
from scout.web.forms.fields import ChoiceField, LongField, NumberField, TextField, YesNoField
from scout.web.forms.times import MomentField

PURPOSES = [
    ("room", "the empty room"),
    ("tone", "a calibrator's tone"),
    ("burst", "a burst (balloon, clap): how the room rings"),
    ("memo", "a memo: spoken for the team, not measured"),
]


class RecordingForm(RecordForm[RecordingRecord]):
    """What a recording is of, under which conditions, and what turns its levels into dB."""

    record_type = RecordingRecord
    called = "recording"

    purpose = ChoiceField("It is of", choices=PURPOSES, none="")
    conditions = LongField("Conditions", rows=2, hint="fridge on, windows shut, school hour")
    taken_at = MomentField("Taken")
    calibration_db = NumberField(
        "Calibration",
        unit="dB",
        hint="what to add to dBFS to get dB; filled when it is calibrated below",
    )
    calibration_by = TextField("Calibrated by")

    sections = (
        Section("What it is of", ("purpose", "conditions", "taken_at")),
        Section("Calibration", ("calibration_db", "calibration_by"), folded=True),
    )


class DaysField(TextField):
    """Days of the week, by their first three letters; empty is every day."""

    def read(self) -> Any:
        """A list of days, or None."""
        if self.blank:
            return None
        return [word.lower()[:3] for word in self.text.replace(",", " ").split()]

    def show(self, value: Any) -> None:
        """The days in one line."""
        self.text = " ".join(value or ())


class NoiseWindowForm(RecordForm[NoiseWindowRecord]):
    """A noise that comes back."""

    record_type = NoiseWindowRecord
    called = "noise_window"

    what = TextField("What", needed=True, hint="school yard, bells, a flight path, deliveries")
    from_time = TextField("From", needed=True, hint="HH:MM, local time")
    until_time = TextField("Until", needed=True, hint="HH:MM")
    days = DaysField("Days", hint="mon tue wed thu fri; empty: every day")
    steady = YesNoField("Steady")
    can_switch_off = YesNoField("Can it be switched off")

    sections = (
        Section("", ("what", "from_time", "until_time", "days", "steady", "can_switch_off")),
    )
