"""What can be found of circuits, sockets and cables: the kinds of finding, each with its figures."""

from __future__ import annotations

from dataclasses import dataclass

from scout.assess.answers import Finding
from scout.values import Amperes, Count, Length, Many, Name, Percent, Said


@dataclass(frozen=True, kw_only=True)
class PowerFinding(Finding):
    """What all findings of power have in common."""

    topic = "power"


@dataclass(frozen=True, kw_only=True)
class EverythingPlugsIn(PowerFinding):
    """Every light and charger has a socket, a circuit with current to spare and a lead that reaches.

    Why:    the kit that is listed can be powered as it is, which nothing less may be called.
    Level:  good.
    Source: the plan of assess.power.power; 80 % of the breaker by NEC 210.20(A).
    """

    code = "power.all_plug_in"
    levels = ("good",)
    lights: Count
    chargers: Count | None
    circuit: Name
    load: Amperes
    limit: Amperes
    share: Percent


@dataclass(frozen=True, kw_only=True)
class OffTheMains(PowerFinding):
    """No light of the kit needs the mains.

    Why:    sockets and circuits are then nobody's worry.
    Level:  good.
    Source: what the kit says of each light's supply.
    """

    code = "power.off_mains"
    levels = ("good",)


@dataclass(frozen=True, kw_only=True)
class NearlyFull(PowerFinding):
    """A circuit carries nine tenths or more of what it may.

    Why:    one kettle on it and the lights go out.
    Level:  care.
    Source: common practice for the nine tenths.
    """

    code = "power.nearly_full"
    levels = ("care",)
    load: Amperes
    limit: Amperes
    share: Percent


@dataclass(frozen=True, kw_only=True)
class Overloaded(PowerFinding):
    """What hangs on a circuit already is more than it may carry for hours.

    Why:    it trips before any light of ours is switched on.
    Level:  problem.
    Source: NEC 210.20(A); elsewhere common practice.
    """

    code = "power.overload"
    levels = ("problem",)
    load: Amperes
    limit: Amperes


@dataclass(frozen=True, kw_only=True)
class SocketsShort(PowerFinding):
    """More lights and chargers than sockets.

    Why:    a multiway lead bought on the day is how extension leads get chained.
    Level:  problem; care where only chargers are left, which can do their work elsewhere.
    Source: the plan of assess.power.power.
    """

    code = "power.sockets_short"
    levels = ("problem", "care")


@dataclass(frozen=True, kw_only=True)
class SocketsUncounted(PowerFinding):
    """Lights that find no socket while the plates count as one each, and would on double ones.

    Why:    nobody is sent for batteries or a splitter over a guess.
    Level:  unknown.
    Source: as power.sockets_short; a plate has two sockets at most (common practice).
    """

    code = "power.sockets_uncounted"
    levels = ("unknown",)
    facts: Many


@dataclass(frozen=True, kw_only=True)
class LeftOut(PowerFinding):
    """Lights for which no circuit has the current.

    Why:    the breaker trips in the middle of a take.
    Level:  problem.
    Source: exhaustive packing in calc.power.
    """

    code = "power.left_out"
    levels = ("problem",)
    short: Amperes
    circuit: Name


@dataclass(frozen=True, kw_only=True)
class PlugTooSmall(PowerFinding):
    """A light that draws more than one plug of the country carries.

    Why:    the plug melts while the breaker stays on.
    Level:  problem.
    Source: calc/tables/plugs.csv.
    """

    code = "power.plug_small"
    levels = ("problem",)
    draws: Amperes
    carries: Amperes
    plug: Name


@dataclass(frozen=True, kw_only=True)
class PlugKind(PowerFinding):
    """A light that some everyday plugs there do not carry.

    Why:    which socket is on the wall decides, and it is seen by looking.
    Level:  care.
    Source: calc/tables/plugs.csv.
    """

    code = "power.plug_kind"
    levels = ("care",)
    draws: Amperes
    carries: Amperes
    larger: Name | None


@dataclass(frozen=True, kw_only=True)
class PlugHot(PowerFinding):
    """A light that for hours draws more than is planned for its plug.

    Why:    plugs warm up before breakers notice.
    Level:  care.
    Source: common practice: 80 % for hours.
    """

    code = "power.plug_hot"
    levels = ("care",)
    draws: Amperes
    carries: Amperes


@dataclass(frozen=True, kw_only=True)
class LeadTooShort(PowerFinding):
    """Lights that stand further from their socket, on the way over the floor, than any lead of the kit reaches.

    Why:    it is found out at load-in, and a hired lead comes tomorrow.
    Level:  problem.
    Source: the way of the lead by calc.power.run; common practice for slack.
    """

    code = "power.lead_short"
    levels = ("problem",)
    need: Length
    longest: Length


@dataclass(frozen=True, kw_only=True)
class LeadTaken(PowerFinding):
    """Lights whose lead is in the kit, but given to another light.

    Why:    every light was promised the same lead.
    Level:  care.
    Source: longest runs get their lead first, by assess.power.leads.
    """

    code = "power.lead_taken"
    levels = ("care",)
    need: Length


@dataclass(frozen=True, kw_only=True)
class LengthUnknown(PowerFinding):
    """Lights whose way to a socket, or the kit's leads, nobody has recorded.

    Why:    whether a lead reaches cannot be promised.
    Level:  unknown.
    Source: assess.power.leads.
    """

    code = "power.length_unknown"
    levels = ("unknown",)
    because: Said


@dataclass(frozen=True, kw_only=True)
class CrossesExit(PowerFinding):
    """A lead that crosses an exit to keep free, whichever way it goes.

    Why:    exits stay free; the local code decides, and the fire officer after it.
    Level:  problem.
    Source: calc.power.run goes round exits wherever it can.
    """

    code = "power.lead_crosses_exit"
    levels = ("problem",)
    exits: Many


@dataclass(frozen=True, kw_only=True)
class TripHazard(PowerFinding):
    """Leads across a door, the subject's walk or the line from camera to subject.

    Why:    somebody falls, or pulls a stand over.
    Level:  care.
    Source: common practice: tape, or a ramp.
    """

    code = "power.trip"
    levels = ("care",)
    crosses: Many


@dataclass(frozen=True, kw_only=True)
class VoltageDrop(PowerFinding):
    """A lead that loses more of the volts than is usual guidance.

    Why:    lamps go yellow, and supplies cut out.
    Level:  care above 3 %, problem above 5 %.
    Source: NEC 210.19 informational note; IEC 60364-5-52 annex G.
    """

    code = "power.voltage_drop"
    levels = ("problem", "care")
    drop: Percent
    lead: Said


@dataclass(frozen=True, kw_only=True)
class Untraced(PowerFinding):
    """Circuits in use of which nobody has tried what hangs on them.

    Why:    two that are really one carry both loads on one breaker.
    Level:  care.
    Source: what the sheet says; the sum is worked out.
    """

    code = "power.untraced"
    levels = ("care",)
    together: Amperes | None
    limit: Amperes | None


@dataclass(frozen=True, kw_only=True)
class Unproven(PowerFinding):
    """The search for the best plan was cut short.

    Why:    a plan with fewer lights left out, or with its circuits less full, may exist.
    Level:  care where something is left out, else good: the plan is safe as it is.
    Source: calc.power.packing's bound.
    """

    code = "power.circuit_unproven"
    levels = ("care", "good")
    share: Percent | None
    least: Percent | None


@dataclass(frozen=True, kw_only=True)
class NoMains(PowerFinding):
    """Lights that need the mains where there is no socket.

    Why:    batteries and chargers are packed the day before.
    Level:  problem where there is none; care outdoors where none is recorded.
    Source: what the sheet says of outlets.
    """

    code = "power.no_mains"
    levels = ("problem", "care")


@dataclass(frozen=True, kw_only=True)
class PowerUnknown(PowerFinding):
    """Facts without which it cannot be said whether the circuits carry the lights.

    Why:    a promise without them is a guess.
    Level:  unknown.
    Source: assess.power.supply names them.
    """

    code = "power.unknown"
    levels = ("unknown",)
    facts: Many
