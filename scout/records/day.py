"""What a day plan needs beside scenes and rooms: the crew's limits, how long scenes take, and the
plan that somebody kept.
"""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from scout.records.base import WHOLE, Record, listed, refuse
from scout.records.opening import Clock
from scout.records.sheet import LocalDate
from scout.values import Name, said

Key = Annotated[int, Field(ge=1, le=2**31 - 1), WHOLE]
DayMin = Annotated[int, Field(ge=1, le=1440), WHOLE]
MOST_SCENES = 60


class SceneTime(Record):
    """How long a scene is shot, and the room it goes to when it rains."""

    scene_id: Key
    length_min: DayMin | None = None
    cover_room_id: Key | None = None


class PlacedScene(Record):
    """A scene put on a date at a time of day, by the clock on the place's wall."""

    scene_id: Key
    room_id: Key
    on: LocalDate
    at: Clock
    locked: bool = False


class DayRecord(Record):
    """The limits of a crew's day, the scenes' times, and the plan kept; what is left out is taken
    as is common, and said.
    """

    from_time: Clock | None = None
    until_time: Clock | None = None
    crew_min: DayMin | None = None
    rest_min: Annotated[int, Field(ge=0, le=2880), WHOLE] | None = None
    meal_min: Annotated[int, Field(ge=0, le=240), WHOLE] | None = None
    meal_within_min: Annotated[int, Field(ge=60, le=1440), WHOLE] | None = None
    scenes: (
        Annotated[tuple[SceneTime, ...], BeforeValidator(listed), Field(max_length=MOST_SCENES)]
        | None
    ) = None
    placed: (
        Annotated[tuple[PlacedScene, ...], BeforeValidator(listed), Field(max_length=MOST_SCENES)]
        | None
    ) = None

    @field_validator("until_time")
    @classmethod
    def _in_order(cls, until: str | None, info: ValidationInfo) -> str | None:
        if until is not None and until <= (info.data.get("from_time") or ""):
            raise refuse(said("record.day_ends_before"))
        return until

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        for rows in (self.scenes or (), self.placed or ()):
            keys = [row.scene_id for row in rows]
            twice = next((key for key in keys if keys.count(key) > 1), None)
            if twice is not None:
                raise refuse(said("record.scene_twice", scene=Name(str(twice))))
        return self
