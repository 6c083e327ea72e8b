"""What the rooms ask for: the lines of a setup worst first, acts by person and hour, and what must
be brought, counted over every setup.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from scout.assess.answers import Act, Finding, merged
from scout.assess.answers.acts import due
from scout.assess.answers.finding import LEVELS, Role
from scout.assess.day.hung import BOUNCES
from scout.packet.content import PacketContent, PacketSetup
from scout.records.kit import Kit
from scout.values import Figure, Many, Name, Said, Value, said
from scout.words.figures import act_message, room_name

MOST_LINES = 7  # a room is read in so many
MOST_OF_TOPIC = 2  # of one topic, while another topic still waits
# what a crew looks for in a room that is fine, before anything else that is fine
WANTED_GOOD = ("space.framing_fits", "sound.quiet", "sound.mic_clean", "light.enough")


def decisive(findings: Sequence[Finding], most: int = MOST_LINES) -> tuple[Finding, ...]:
    """The lines to decide by: worst first, those with an act before those without, no topic more
    than twice while another waits.
    """
    rows = [one for one in findings if one.level != "outside"]
    rows.sort(key=_weight)
    chosen: list[Finding] = []
    for cap in (MOST_OF_TOPIC, most):
        for one in rows:
            held = sum(other.topic == one.topic for other in chosen)
            if len(chosen) < most and one not in chosen and held < cap:
                chosen.append(one)
    return tuple(sorted(chosen, key=_weight))


def fewer(told: Sequence[Finding], most: int) -> tuple[Finding, ...]:
    """Of lines to decide by, where a page is tight, so many: those go whose act stands below them
    all the same, the best first. What warns and has no such act stays, however many they are.
    """
    spare = [one for one in told if not _alone(one)]
    stay = spare[: max(most - (len(told) - len(spare)), 0)]
    return tuple(one for one in told if one in stay or one not in spare)


def _alone(finding: Finding) -> bool:
    """Whether it warns and stands nowhere else on its room's pages if not as a line."""
    act = next(iter(finding.acts), None)
    below = act is not None and act.who in ON_SET and finding.code not in BOUNCES
    return finding.level in ("problem", "care") and not below


def _weight(finding: Finding) -> tuple[int, int, int]:
    wanted = finding.code in WANTED_GOOD
    return LEVELS.index(finding.level), not finding.acts, not wanted


def of_topics(setup: PacketSetup, topics: Iterable[str]) -> tuple[Finding, ...]:
    """The findings of a setup that one person reads, worst first."""
    wanted = set(topics)
    return tuple(
        one for one in setup.found.findings if one.topic in wanted and one.level != "outside"
    )


@dataclass
class Task:
    """One act with the setups that ask for it."""

    act: Act
    message: Said
    setups: list[PacketSetup] = field(default_factory=list)

    @property
    def at(self) -> datetime | None:
        """The time by the clock where it has one."""
        return self.act.when.at


OFF = ("have.conditions", "switch.off")  # what somebody of the place switches off for the sound


def tasks(setups: Sequence[PacketSetup], who: Role) -> list[Task]:
    """What somebody is to do, each act once, in the order in which it is due and can be done; not
    what only a bounce would ask of the light.
    """
    found: dict[tuple[Said, object], Task] = {}
    for setup, finding, act in _acts(setups):
        if act.who != who or (who == "light" and finding.code in BOUNCES):
            continue
        message = act_message(act)
        task = found.setdefault((message, act.when), Task(act, message))
        if setup not in task.setups:
            task.setups.append(setup)
    return sorted(found.values(), key=lambda task: due(task.act, setups.index(task.setups[0])))


def acts(setups: Iterable[PacketSetup]) -> Iterator[tuple[PacketSetup, Act]]:
    """Every act of every finding, with its setup."""
    for setup, _, act in _acts(setups):
        yield setup, act


def _acts(setups: Iterable[PacketSetup]) -> Iterator[tuple[PacketSetup, Finding, Act]]:
    for setup in setups:
        for finding in setup.found.findings:
            for act in finding.acts:
                yield setup, finding, act


@dataclass(frozen=True)
class Missing:
    """Something to be had before the day that the kit has not got, and the rooms that ask for it."""

    what: Said
    rooms: tuple[Name | Said, ...]


def missing(content: PacketContent) -> list[Missing]:
    """What the rooms ask to be brought, each thing once; what serves several lights is one thing.
    What only a backup asks for comes last, and says so; for a room that is only proposed nothing
    is brought.
    """
    asked: dict[Said, dict[Name | Said, None]] = {}
    for setup, act in acts(content.setups):
        if act.code.startswith("bring."):
            asked.setdefault(act_message(act), {})[dated_room(content, setup)] = None
    for one in content.backups:
        room = said("packet.of_backup", room=room_name(one.sheet.room.name))
        for finding in one.found.findings:
            for act in finding.acts:
                if act.code.startswith("bring."):
                    asked.setdefault(act_message(act), {})[room] = None
    alike: dict[tuple[Name | Said, ...], list[Said]] = {}
    for message, rooms in asked.items():
        alike.setdefault(tuple(rooms), []).append(message)
    return [Missing(one, rooms) for rooms, held in alike.items() for one in merged(held)]


def dated_room(content: PacketContent, setup: PacketSetup) -> Name | Said:
    """What a setup's room is called, with its date where there is more than one."""
    room = room_name(setup.room)
    if len({one.date for one in content.setups}) < 2:
        return room
    return said("packet.room_on", room=room, on=setup.date)


def by_day(content: PacketContent, setups: Sequence[PacketSetup]) -> Name:
    """The rooms of some setups day by day: `Sat 20 Jun Front parlour, Back kitchen; Sun 21 Jun ...`;
    without the day where the whole content has one.
    """
    rooms: dict[date, dict[Name | Said, None]] = {}
    for one in sorted(setups, key=lambda one: one.date):
        rooms.setdefault(one.date, {})[room_name(one.room)] = None
    dated = len({one.date for one in content.setups}) > 1
    return Name(
        "; ".join(
            str(
                said(
                    "packet.rooms_on",
                    on=on if dated else None,
                    rooms=Many(tuple(names), "list"),
                )
            )
            for on, names in rooms.items()
        )
    )


def cables_lent(setups: Iterable[PacketSetup]) -> dict[str, int]:
    """How many cables of each length, as it is sold, the kit lacks: the most that any one setup asks
    for, since they go on to the next.
    """
    most: dict[str, int] = {}
    metres: dict[str, float] = {}
    for setup in setups:
        asked: dict[Figure, set[str]] = {}
        for finding in setup.found.findings:
            for act in finding.acts:
                for length, lights in _leads_of(act):
                    asked.setdefault(length, set()).update(map(repr, lights))
        here: dict[str, int] = {}
        for length, lights_asked in sorted(asked.items(), key=lambda row: row[0].value):
            sold = f"{length:lead}"
            here[sold] = here.get(sold, 0) + len(lights_asked)
            metres[sold] = length.value
        for sold, count in here.items():
            most[sold] = max(most.get(sold, 0), count)
    return dict(sorted(most.items(), key=lambda row: metres[row[0]]))


def _leads_of(act: Act) -> Iterator[tuple[Figure, Sequence[Value | None]]]:
    """The lengths of lead that an act brings, each with those it is for; a splitter brings leads
    along.
    """
    values = dict(act.values)
    along = values.get("leads")
    brought = (
        [one for one in along.items if isinstance(one, Said)] if isinstance(along, Many) else []
    )
    for each in (values, *(dict(one.values) for one in brought)):
        length, lights = each.get("lead"), each.get("lights") or each.get("light")
        if act.code.startswith("bring.") and isinstance(length, Figure):
            yield length, lights.items if isinstance(lights, Many) else (lights,)


# What an act uses up at load-in or on the day: nobody lists it in the kit, so it is packed for it.
USED: Mapping[str, tuple[str, ...]] = {
    "hang.white": ("white_cloth", "stands", "sandbags", "clamps"),  # no tape on a wall
    "lay.white": ("white_cloth",),
    "stretch.white": ("white_cloth", "clamps"),
    "hang.blankets": ("blankets", "stands", "sandbags"),
    "flag.black": ("black_flag", "stands", "sandbags"),
    "flag.lamp": ("black_flag", "stands", "sandbags"),
    "gel.light": ("gel",),
    "gel.practical": ("gel",),
    "gel.windows": ("window_gel",),
    "key.daylight": ("gel",),
    "flag.gloss": ("black_flag", "stands", "sandbags"),
    "close.covering": ("blackout",),
    "cover.windows": ("blackout",),
    "cover.pieces": ("blackout",),
    "camera.nd": ("nd",),
    "clamp.light": ("clamps", "safety_wire"),
    "arm.light": ("arms", "sandbags", "safety_wire"),
    "soften.light": ("scrims",),
    "hang.mic": ("stands", "sandbags"),
}


@dataclass(frozen=True)
class Used:
    """A thing that the acts use up: how much of it where the acts say, and the setups."""

    thing: str
    figure: Figure | None
    setups: tuple[PacketSetup, ...]
    grades: tuple[Value, ...] = ()  # of gels


def used_up(setups: Sequence[PacketSetup]) -> list[Used]:
    """What the acts and the exposures need beside the kit: the most that is up at once, in one setup
    or in those whose hours overlap, since it is used again. Of the acts that cover one surface for
    several lights the largest counts.
    """
    by_thing: dict[str, dict[str, dict[tuple[str, object], Figure]]] = {}
    grades: dict[str, dict[Value, None]] = {}
    for setup, act in acts(setups):
        values = dict(act.values)
        for thing in USED.get(act.code, ()):
            held = by_thing.setdefault(thing, {}).setdefault(setup.key, {})
            gels = values.get("gels")
            if isinstance(gels, Many):
                grades.setdefault(thing, {}).update(dict.fromkeys(gels.items))
            figure = values.get(_MEASURED.get(thing, ""))
            if isinstance(figure, Figure):
                of = act.code, values.get("surface")
                held[of] = max(figure, held.get(of, figure), key=lambda one: float(one.value))
    for setup in setups:  # a filter that no act asks for is on the lens all the same
        exposed = setup.found.fit.exposure
        nd = None if exposed is None else exposed.nd
        if nd is not None:
            most_nd = Figure(nd.value if nd.high is None else nd.high, "stops")
            by_thing.setdefault("nd", {})[setup.key] = {("exposure", None): most_nd}
    by_key = {setup.key: setup for setup in setups}
    made = []
    for thing, needs in by_thing.items():
        sums = {
            key: sum(float(one.value) for one in held.values())
            for key, held in needs.items()
            if held
        }
        unit = next((one.unit for held in needs.values() for one in held.values()), None)
        alone = thing == "nd"  # a filter is one, whatever else is shot at that hour
        most = None
        if unit is not None:
            at_once = [
                sums[key]
                if alone
                else sum(sums[other] for other in sums if _overlap(by_key[key], by_key[other]))
                for key in sums
            ]
            most = Figure(max(at_once), unit)
        asking = tuple(by_key[key] for key in needs)
        made.append(Used(thing, most, asking, tuple(grades.get(thing, ()))))
    return made


def _overlap(one: PacketSetup, other: PacketSetup) -> bool:
    """Whether two setups stand at one time; a setup overlaps itself, one without hours no other."""
    if one.key == other.key:
        return True
    if one.hours is None or other.hours is None:
        return False
    return one.hours[0] < other.hours[1] and other.hours[0] < one.hours[1]


_MEASURED = {"blankets": "length", "white_cloth": "area"}  # which value of an act says how much


def untold(setup: PacketSetup, told: Sequence[Finding]) -> list[Act]:
    """What the setup asks of those who work on the set, each once, beside the first act of each of
    the findings that are told; not what only a bounce would ask of the light.
    """
    said_of = {act_message(act) for finding in told for act in finding.acts[:1]}
    rest: dict[Said, Act] = {}
    for _, finding, act in _acts([setup]):
        message = act_message(act)
        bounce = act.who == "light" and finding.code in BOUNCES
        if act.who in ON_SET and message not in said_of and not bounce:
            rest.setdefault(message, act)
    return sorted(rest.values(), key=lambda act: (ON_SET.index(act.who), due(act)))


# whose acts stand with the room as well: the others' are of the way there and of the days before
ON_SET: tuple[Role, ...] = ("light", "camera", "sound")
# acts that the plan to set up by draws itself
DRAWN = ("light.key", "lay.white", "stretch.white", "hang.white")


# acts that change what the plan is drawn from: it is drawn as the marks stand
UNDRAWN = ("move.back", "move.subject", "turn.subject", "camera.door")


def undrawn(setup: PacketSetup) -> list[Act]:
    """What would move the subject, or the camera to where the plan does not have it."""
    return [one.act for one in tasks([setup], "camera") if one.act.code in UNDRAWN]


def beside_plan(setup: PacketSetup) -> list[Task]:
    """What the light does in the room that no drawing shows: it stands in words under the plan."""
    return [
        one
        for one in tasks([setup], "light")
        if one.act.when.kind != "before" and one.act.code not in DRAWN
    ]


def stands_needed(setups: Sequence[PacketSetup]) -> int:
    """How many stands the fullest setup uses: one a light that has a place."""
    return max((len(setup.found.placements) for setup in setups), default=0)


def stands_lacking(content: PacketContent) -> int:
    """How many stands the fullest setup needs beyond those listed; 0 where none are listed, or of
    some nobody counted how many.
    """
    stands = kit_of(content).stands or ()
    if not stands or any(one.count is None for one in stands):
        return 0
    return max(0, stands_needed(content.setups) - sum(one.count or 0 for one in stands))


def kit_of(content: PacketContent) -> Kit:
    """The kit on the list; an empty one where none is recorded."""
    return content.production.kit or Kit()
