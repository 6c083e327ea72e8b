"""Answers about what can be plugged in where."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scout.assess.answers.base import Answer
from scout.values import Figure, Said, said


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
    cable_m: float | None = None  # over the floor to the light, round what is in the way
    across: bool = False  # much of it away from the walls, taped
    lead_m: float | None = None  # of the kit's lead that it gets; None: none of them will do
    volt_drop_pct: float | None = None
    load_a: float | None = None
    straight_m: float | None = None  # from socket to light in plan
    doors: tuple[str, ...] = ()  # crossed by the lead, because no way leads round
    exits: tuple[str, ...] = ()  # of those doors, the ones to keep free
    crosses: tuple[Said, ...] = ()  # where somebody may trip over it: a door, the walk, the shot
    path_m: tuple[tuple[float, float], ...] = ()  # its way in plan, from socket to light
    kind: Literal["light", "charger"] = "light"
    lead: Said | None = None  # which lead of the kit the volt drop is worked out for
    lead_lack: Literal["short", "taken"] | None = (
        None  # no lead of the kit reaches, or none is left
    )
    spare_m: float | None = None  # the longest lead that it could have, where none will do
    conductor_mm2: float | None = None  # of the lead that the volt drop is worked out for

    @property
    def cable_words(self) -> Said | None:
        """How far its cable runs and which lead to take for it: the kit's, else the next one sold."""
        if self.cable_m is None:
            return None
        run, how = Figure(self.cable_m, "m"), said("power.taped") if self.across else None
        if self.lead_m is None:
            return said("power.run_bring", run=run, how=how)
        return said("power.run_take", run=run, how=how, lead=Figure(self.lead_m, "m"))


@dataclass(frozen=True)
class Unplaced:
    """A light or a charger without a socket, and why. `why` current: what its circuit lacks with
    all the others placed as best for it.
    """

    light: str
    short_a: float | None
    because: Said
    why: Literal["unknown", "sockets", "plug", "current"] = "unknown"
    circuit: str | None = None  # that it comes nearest to fitting on; None: not recorded
    instead: str | None = None  # the light that a smaller one in its place would make room for all
    fits_va: float | None = None  # what that smaller one may draw
    spare_circuit: str | None = None  # has current for it, and no socket
    draws_a: float | None = None
    plug_a: float | None = None  # the most one plug may carry, where that is what stops it
    plug: str | None = None


@dataclass(frozen=True, kw_only=True)
class PowerAnswer(Answer):
    feasible: bool | None = None
    circuits: tuple[CircuitAnswer, ...] = ()
    assignment: tuple[AssignmentAnswer, ...] = ()
    unplaced: tuple[Unplaced, ...] = ()
    proven: bool = True  # False when the search for the best plan was cut off
    least_share: float | None = None  # where it was: no plan has a fullest circuit less full
    on_battery: tuple[str, ...] = ()  # lights that draw nothing from the mains
    missing: tuple[str, ...] = ()  # facts of the sheet without which nothing is promised
    no_outlet: bool = False  # the room has none, or none is recorded
    plugs: tuple[PlugAnswer, ...] = ()  # lights that ask much of their plug
    guessed: tuple[str, ...] = ()  # circuits in use that nobody traced
    together_a: float | None = None  # what these would carry if they were one circuit
    together_limit_a: float | None = None
    countries: tuple[
        str, ...
    ] = ()  # whose plugs were reckoned with; several when they could not be told apart


@dataclass(frozen=True)
class PlugAnswer:
    """A light that asks much of its plug: more than the everyday one there carries (`larger`: what
    does), or for hours more than is usual.
    """

    light: str
    draws_a: float
    least_a: float  # what everyday plugs there carry, the smallest and the largest
    most_a: float
    why: Literal["kind", "hours"]
    larger: str | None = None
