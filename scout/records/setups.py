"""A setup as it is kept: one stretch of shooting of a scene in a room. It is what is judged,
compared, planned and printed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator

from scout.records.base import WHOLE, Label, Number, Record, Text, listed, refuse
from scout.records.kept import FramingName, FramingNeed, SceneRecord, WhenNeed
from scout.records.opening import Clock
from scout.records.sheet import Covering, LocalDate, RoomSheet
from scout.values import said

# a scene that could be shot on more dates than this has not chosen one yet
MOST_DATES = 14
DaysMinutes = Annotated[int, Field(ge=0, le=1440), WHOLE]


class SetupRecord(Record):
    """On which date and between which hours (by the clock on the place's wall) a scene is shot in
    a room, with which framing and lens, and what of the room is shut or switched off for it.

    on: None: one of the scene's dates, not chosen yet
    from_time, until_time: an end at or before the start is on the next day; None: all day
    covers: how windows will be covered, by their names; the others as the room has them
    switched_off: practicals and readings of the room, by name, and noises that come back, by
        what they are, that will not be there
    """

    on: LocalDate | None = None
    from_time: Clock | None = None
    until_time: Clock | None = None
    set_up_min: DaysMinutes | None = None
    strike_min: DaysMinutes | None = None
    framing: FramingName | None = None
    focal_length_mm: Annotated[Number, Field(gt=0, le=5000)] | None = None
    covers: Mapping[Label, Covering] | None = None
    switched_off: Annotated[tuple[Text, ...], BeforeValidator(listed)] | None = None
    note: Text | None = None

    @field_validator("until_time")
    @classmethod
    def _lasts(cls, until: str | None, info: ValidationInfo) -> str | None:
        if until is not None and until == info.data.get("from_time"):
            raise refuse(said("record.begins"))
        return until


def setups_asked(scene: SceneRecord) -> tuple[SetupRecord, ...]:
    """The setups that a scene asks of a room proposed for it: one for each of its dates, or one
    without a date where it names none or more than can all be meant.
    """
    whens = [need for need in scene.needs or () if isinstance(need, WhenNeed)]
    framing = _only(need.framing for need in scene.needs or () if isinstance(need, FramingNeed))
    found = []
    for when in whens:
        begin, end = when.from_time, when.until_time
        hours = (None, None) if begin == end else (begin, end)
        for day in when.dates if len(when.dates) <= MOST_DATES else (None,):
            found.append(
                SetupRecord(on=day, from_time=hours[0], until_time=hours[1], framing=framing)
            )
    unlike = {one.model_dump_json(): one for one in found}
    return tuple(unlike.values()) or (SetupRecord(framing=framing),)


def in_common(setups: Iterable[SetupRecord]) -> SetupRecord:
    """What several setups agree on; the rest is left open."""
    plain = [one.model_dump() for one in setups]
    agreed = {
        field: plain[0][field]
        for field in SetupRecord.model_fields
        if plain and all(one[field] == plain[0][field] for one in plain)
    }
    if not {"from_time", "until_time"} <= set(agreed):  # half of somebody's hours are nobody's
        agreed.pop("from_time", None)
        agreed.pop("until_time", None)
    return SetupRecord(**agreed)


def as_it_will_be(sheet: RoomSheet, setup: SetupRecord) -> RoomSheet:
    """The room with its windows covered as they will be, and without what will be off."""
    room, change = sheet.room, dict[str, Any]()
    if setup.covers and room.windows:
        change["windows"] = tuple(
            window.model_copy(update={"covering": setup.covers.get(window.id, window.covering)})
            for window in room.windows
        )
    off = set(setup.switched_off or ())
    for kind in ("practicals", "noise"):
        parts = getattr(room, kind)
        if parts and off.intersection(part.id for part in parts):
            change[kind] = tuple(part for part in parts if part.id not in off)
    if not change:
        return sheet
    return sheet.model_copy(update={"room": room.model_copy(update=change)})


def _only(values: Iterable[Any]) -> Any:
    """The one value that all of them are; None where there is none, or several."""
    found = set(values)
    return found.pop() if len(found) == 1 else None
