"""The plan of one scene in one room: where the subject, the camera and each light stand, as drawn on the plan's page."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, field_validator

from scout.records.base import Label, Record, refuse
from scout.records.sheet import Place


def _listed(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


class PlannedLight(Record):
    """One light of the kit and where the middle of its head is put."""

    id: Label
    at_m: Place


class StagePlan(Record):
    """Places in plan metres with heights above the floor; None or absent: as the room's marks and the worked-out plan have it."""

    subject: Place | None = None
    camera: Place | None = None
    lights: Annotated[tuple[PlannedLight, ...], BeforeValidator(_listed)] = ()

    @field_validator("lights")
    @classmethod
    def _each_once(cls, lights: tuple[PlannedLight, ...]) -> tuple[PlannedLight, ...]:
        if len({light.id for light in lights}) != len(lights):
            raise refuse("names a light twice")
        return lights
