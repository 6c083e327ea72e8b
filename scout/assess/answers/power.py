"""Answers about what can be plugged in where."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scout.assess.answers.base import Answer


@dataclass(frozen=True, kw_only=True)
class CircuitAnswer(Answer):
    id: str
    limit_a: float | None = None
    load_a: float | None = None
    share: float | None = None
    lights_a: float | None = None  # the crew's lights alone
    other_a: float | None = None  # what hangs on it already
    verified: bool | None = None


@dataclass(frozen=True, kw_only=True)
class AssignmentAnswer(Answer):
    light: str
    outlet: str | None = None
    circuit: str | None = None
    cable_m: float | None = None
    volt_drop_pct: float | None = None
    load_a: float | None = None
    straight_m: float | None = None  # across the floor in plan: what the lead does not do
    doors: tuple[str, ...] = ()  # crossed by the lead, because both ways round the room cross one
    crosses: tuple[
        str, ...
        # where somebody may trip over it: "door D1", "the subject's walk", "the line from camera to
        # subject"
    ] = ()
    shorter_m: float | None = None  # of the shorter way round, which crosses `shorter_doors`
    shorter_doors: tuple[str, ...] = ()
    kind: Literal["light", "charger"] = "light"
    lead: str | None = None  # which lead of the kit the volt drop is worked out for


@dataclass(frozen=True)
class Unplaced:
    light: str
    short_a: float | None
    because: str


@dataclass(frozen=True, kw_only=True)
class PowerAnswer(Answer):
    feasible: bool | None = None
    circuits: tuple[CircuitAnswer, ...] = ()
    assignment: tuple[AssignmentAnswer, ...] = ()
    unplaced: tuple[Unplaced, ...] = ()
    least_change: str | None = None  # the least that would let every light be plugged in
    proven: bool = True  # False when the search for the best plan was cut off
    on_battery: tuple[str, ...] = ()  # lights that draw nothing from the mains
    countries: tuple[
        str, ...
    ] = ()  # whose plugs were reckoned with; several when they could not be told apart
