"""The plan of one scene in one room: where the subject, the camera and each light stand, as drawn
on the plan's page.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field, field_validator

from scout.records.base import Label, Number, Record, has_direction, listed, refuse
from scout.records.sheet import Place, PlanPoint
from scout.values import said


class PlannedLight(Record):
    """One light of the kit, where the middle of its head is put, and what it is aimed at (None: the
    subject).
    """

    id: Label
    at_m: Place
    aim_m: Place | None = None


class PlannedBlock(Record):
    """One piece of the room's furniture, moved for the scene: its middle, and how far it is turned
    clockwise.
    """

    id: Label
    at_m: PlanPoint
    turn_deg: Annotated[Number, Field(ge=-360, le=360)] | None = None


class StagePlan(Record):
    """Places in plan metres with heights above the floor; None or absent: as the room's marks and
    the worked-out plan have it.
    """

    subject: Place | None = None
    camera: Place | None = None
    lights: Annotated[tuple[PlannedLight, ...], BeforeValidator(listed)] = ()
    subject_normal: (
        Annotated[
            tuple[Number, Number, Number], BeforeValidator(listed), AfterValidator(has_direction)
        ]
        | None
    ) = None  # the way the face looks
    path: Annotated[tuple[Place, ...], BeforeValidator(listed)] | None = None
    boom: Place | None = None  # the microphone on its pole
    furniture: Annotated[tuple[PlannedBlock, ...], BeforeValidator(listed)] = ()
    lens_mm: Annotated[Number, Field(gt=0, le=3000)] | None = (
        None  # the lens the shot plan is drawn for
    )

    @field_validator("lights")
    @classmethod
    def _each_once(cls, lights: tuple[PlannedLight, ...]) -> tuple[PlannedLight, ...]:
        if len({light.id for light in lights}) != len(lights):
            raise refuse(said("record.twice_in_plan"))
        return lights

    @field_validator("furniture")
    @classmethod
    def _blocks_once(cls, blocks: tuple[PlannedBlock, ...]) -> tuple[PlannedBlock, ...]:
        if len({block.id for block in blocks}) != len(blocks):
            raise refuse(said("record.twice_in_plan"))
        return blocks
