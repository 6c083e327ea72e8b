"""What people say about a recording, and noises that come back at a place."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator

from scout.records.base import Number, Record, Text, listed, refuse
from scout.records.opening import Clock
from scout.records.sheet import Moment
from scout.values import said

RecordingPurpose = Literal["room", "tone", "burst", "memo"]
Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


class RecordingRecord(Record):
    """A recording of the empty room, of a calibrator's tone, of a burst (a balloon, a clap) that
    shows how the room rings, or a memo: words spoken for the team, of which nothing is measured.
    """

    purpose: RecordingPurpose = "room"
    conditions: Text | None = None
    taken_at: Moment | None = None
    calibration_db: Annotated[Number, Field(ge=-50, le=250)] | None = None
    calibration_by: Text | None = None


class NoiseWindowRecord(Record):
    """A noise that comes back: what, on which days (none named: every day), from when until when."""

    what: Text
    days: Annotated[tuple[Day, ...], BeforeValidator(listed)] | None = None
    from_time: Clock
    until_time: Clock
    steady: bool | None = None
    can_switch_off: bool | None = None

    @field_validator("until_time")
    @classmethod
    def _in_order(cls, until: str, info: ValidationInfo) -> str:
        if until <= info.data.get("from_time", ""):
            raise refuse(said("record.ends_before"))
        return until
