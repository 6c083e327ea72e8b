"""What is said of a choice: which room to take and why, and what is odd about the question."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from scout.assess.choice.ranked import Part, Ranked
from scout.records.kept import Need, WhenNeed
from scout.values import Name, Said, Word, names, said, words

GOOD: Mapping[str, Said] = {
    "when": said("choice.good.when"),
    "floor": said("choice.good.floor"),
    "depth": said("choice.good.depth"),
    "height": said("choice.good.height"),
    "framing": said("choice.good.framing"),
    "noise": said("choice.good.noise"),
    "mic": said("choice.good.mic"),
    "daylight": said("choice.good.daylight"),
    "lux": said("choice.good.lux"),
    "sun": said("choice.good.sun"),
    "facing": said("choice.good.facing"),
    "colour": said("choice.good.colour"),
    "watts": said("choice.good.watts"),
    "sockets": said("choice.good.sockets"),
    "look": said("choice.good.look"),
    "access": said("choice.good.access"),
    "travel": said("choice.good.travel"),
    "permit": said("choice.good.permit"),
    "neighbours": said("choice.good.neighbours"),
    "budget": said("choice.good.budget"),
}
MIND: Mapping[str, Said] = {
    "when": said("choice.mind.when"),
    "floor": said("choice.mind.floor"),
    "depth": said("choice.mind.depth"),
    "height": said("choice.mind.height"),
    "framing": said("choice.mind.framing"),
    "noise": said("choice.mind.noise"),
    "mic": said("choice.mind.mic"),
    "daylight": said("choice.mind.daylight"),
    "lux": said("choice.mind.lux"),
    "sun": said("choice.mind.sun"),
    "facing": said("choice.mind.facing"),
    "colour": said("choice.mind.colour"),
    "watts": said("choice.mind.watts"),
    "sockets": said("choice.mind.sockets"),
    "look": said("choice.mind.look"),
    "access": said("choice.mind.access"),
    "travel": said("choice.mind.travel"),
    "permit": said("choice.mind.permit"),
    "neighbours": said("choice.mind.neighbours"),
    "budget": said("choice.mind.budget"),
}


# where one need has two ways of not being met
MIND_WHY: Mapping[str, Said] = {
    "need.light_bright": said("choice.mind.bright"),
    **dict.fromkeys(
        ("need.bare", "need.not_outdoors", "need.from_the_side"), said("choice.mind.black")
    ),
}


def answer(ranked: Sequence[Ranked]) -> tuple[Said, ...]:
    """Which room to take, in one short sentence, and what its rivals lose on, in another. Nothing is
    claimed that a row of the comparison denies.
    """
    first, others = ranked[0], ranked[1:]
    room = Name(first.head.room_name)
    if first.missing:
        lines = [
            said(
                "choice.none_meets",
                room=room,
                needs=words("loss", first.missing[:2]),
                more=len(first.missing) - 2 if len(first.missing) > 2 else None,
            )
        ]
    else:
        good = _good(first, others[0] if others else None)
        mind = max(
            (p for p in first.parts if not p.required and p.status != "met" and p.weight),
            key=lambda p: p.weight * (1.0 - p.worth),
            default=None,
        )
        lines = [
            said(
                "choice.take",
                room=room,
                good=None if good is None else GOOD[good],
                mind=None if mind is None else _mind(mind),
            )
        ]
    alike = [rival.head.room_name for rival in others[:2] if rival.alike]
    if alike:
        lines.append(said("choice.alike", rooms=names([first.head.room_name, *alike])))
    for rival in others[:2]:
        if rival.alike:
            continue
        name = Name(rival.head.room_name)
        lost, dark = rival.behind, rival.dark
        if len(rival.missing) > len(first.missing):
            lost = tuple(topic for topic in lost if topic in rival.missing)
            dark = tuple(topic for topic in dark if topic in rival.missing)
        if lost:
            lines.append(said("choice.loses", room=name, needs=words("loss", lost[:2])))
        elif dark:
            lines.append(said("choice.dark", room=name, needs=words("loss", dark[:2])))
    return tuple(lines)


def tells(ranked: Sequence[Ranked], at: int) -> bool:
    """Whether the row of a need decides anything: which room comes first, or whether any does. A row
    in which all rooms pass or show the same decides where its need is required and not met
    anywhere, where it puts one behind another, or where it adds more to one than to another.
    """
    parts = [room.parts[at] for room in ranked]
    if len(parts) < 2 or len({part.cell.level for part in parts}) > 1:
        return True
    first = parts[0]
    if first.required and first.cell.level in ("fail", "unknown"):
        return True
    if any(first.topic in (*room.behind, *room.dark) for room in ranked):
        return True
    if len({round(100 * part.adds) for part in parts}) > 1:
        return True
    return first.cell.level != "pass" and len({(p.cell.figure, p.cell.why) for p in parts}) > 1


def _good(first: Ranked, rival: Ranked | None) -> str | None:
    """What a room is first by: a need that passes there, in which the next is furthest behind or
    not known; of one room alone the first that is required.
    """
    passes = [part.topic for part in first.parts if part.cell.level == "pass"]
    wanted = passes if rival is None else (*rival.behind, *rival.dark)
    return next((topic for topic in wanted if topic in passes), None)


def _mind(part: Part) -> Said:
    """What to mind in a room: what is not known there, or how it falls short."""
    if part.cell.level == "unknown":
        return said("choice.mind.dark", needs=words("loss", (part.topic,)))
    return MIND_WHY.get(part.cell.why.code, MIND[part.topic])


def odd(needs: Sequence[Need], today: date) -> list[Said]:
    """What is odd about the question."""
    found = []
    if not needs:
        found.append(said("choice.no_needs"))
    preferred = [need for need in needs if need.strength == "wish"]
    if preferred and not any(need.weight for need in preferred):
        found.append(said("choice.no_weight"))
    whens = [need for need in needs if isinstance(need, WhenNeed)]
    days = [day for when in whens for day in when.dates]
    if days and max(days) < today:
        found.append(said("choice.past", last=max(days)))
    for at, one in enumerate(whens):
        for other in whens[at + 1 :]:
            both = set(one.dates) & set(other.dates)
            if both and _apart(one, other):
                found.append(said("choice.hours_apart", on=min(both)))
    return found


def _apart(one: WhenNeed, other: WhenNeed) -> bool:
    """Whether the hours of two needs of one date share no minute, both being required."""
    if "wish" in (one.strength, other.strength):
        return False
    ends = []
    for when in (one, other):
        begin, end = when.from_time or "00:00", when.until_time or "24:00"
        ends.append((begin, "48:00" if end <= begin else end))
    return max(ends[0][0], ends[1][0]) >= min(ends[0][1], ends[1][1])


def none_meets(ranked: Sequence[Ranked]) -> list[Said]:
    """Where no room meets all that is required: the need that keeps most rooms out, and which rooms
    come back without it.
    """
    if not ranked or any(not room.missing for room in ranked):
        return []
    topics = [topic for room in ranked for topic in room.missing]
    alone = {
        topic: [room.head.room_name for room in ranked if room.missing == (topic,)]
        for topic in dict.fromkeys(topics)
    }
    most = max(alone, key=lambda topic: (topics.count(topic), len(alone[topic])))
    found = [said("choice.kills", need=Word("need", most), n=topics.count(most), of=len(ranked))]
    back = max(alone, key=lambda topic: len(alone[topic]))
    if alone[back]:
        rooms = names(alone[back][:3])
        found.append(said("choice.back", need=Word("loss", back), rooms=rooms))
    return found
