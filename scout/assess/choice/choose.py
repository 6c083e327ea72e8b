"""Choosing: which room comes first for a scene, why, how surely, and what to measure next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Literal

import numpy as np

from scout.assess.answers import Act
from scout.assess.choice.cells import CandidateFacts, NeedCell
from scout.assess.choice.compare import ComparedCandidate, Comparison, need_words
from scout.assess.choice.scales import Lying, Scale, lying, met_now, said_on, scale_of
from scout.calc.choice import ranking
from scout.records.kept import (
    MOST_WEIGHT,
    BudgetNeed,
    Need,
    NeighboursNeed,
    PermitNeed,
    SceneRecord,
    TravelNeed,
    WhenNeed,
)
from scout.values import Figure, Name, Said, Value, Word, names, said, words

DRAWS = 500
MOST_RANKED = 300  # rooms that are drawn; those that cannot come first are never among them
MOST_SHOWN = 5  # facts to measure next
# two rooms are told apart where one is ahead in two draws of three at least (our own rule)
TOLD_APART = 2.0 / 3.0
Status = Literal["met", "not_met", "unknown"]
OF_PLACE = (BudgetNeed, PermitNeed, NeighboursNeed, TravelNeed, WhenNeed)


@dataclass(frozen=True)
class Part:
    """What one need adds to a room: its cell, how it stands, and for what is preferred its share
    of the total.
    """

    topic: str
    need: Said
    required: bool
    status: Status
    weight: float
    worth: float  # 0 to 1 by its curve
    adds: float  # of the total
    cell: NeedCell


@dataclass(frozen=True)
class Ranked:
    """A room in the order of the choice.

    met, asked:  of the required
    first_share: how often it comes first when facts and weights are drawn
    alike:       it cannot be told from the first
    beaten:      the room that is no worse in anything and better in something
    """

    head: ComparedCandidate
    met: int
    asked: int
    missing: tuple[str, ...]
    total: float
    first_share: float
    alike: bool
    beaten: str | None
    parts: tuple[Part, ...]
    acts: tuple[Act, ...]


@dataclass(frozen=True)
class MeasureNext:
    """A doubtful or missing fact, how often knowing it would put another room first, and at which
    figure.
    """

    fact: Said
    topic: str
    room_id: int
    room_name: str
    changes_share: float
    at: Value | None
    instead: str | None


@dataclass(frozen=True)
class Choosing:
    """The choice for one scene. `line`: the answer in a sentence or two; `notes`: what is odd about
    the question; `turns`: the smallest changes that put another room first.
    """

    comparison: Comparison
    ranked: tuple[Ranked, ...]
    measure_next: tuple[MeasureNext, ...]
    line: tuple[Said, ...]
    turns: tuple[Said, ...]
    notes: tuple[Said, ...]


@dataclass(frozen=True)
class Table:
    """Needs and facts as numbers, and whose they are."""

    needs: ranking.Needs
    facts: ranking.Facts
    owners: tuple[tuple[int, int], ...]  # of each fact: the first cell that rests on it


def choose(
    scene: SceneRecord, comparison: Comparison, candidates: Sequence[CandidateFacts], today: date
) -> Choosing:
    """The candidates of a comparison in the order of the choice."""
    needs = scene.needs or ()
    notes = tuple(_odd(needs, today))
    if not needs or not candidates:
        empty = tuple(
            Ranked(head, 0, 0, (), 0.0, 1.0 / len(candidates), True, None, (), ())
            for head in comparison.candidates
        )
        return Choosing(comparison, empty, (), (), (), notes)
    cells = [[row.cells[i] for row in comparison.rows] for i in range(len(candidates))]
    places = [facts.location_id or facts.room_id for facts in candidates]
    table = tabled(needs, cells, places)
    missed, total = ranking.score(table.needs, table.facts.applies, table.facts.figure)
    out = np.array([facts.candidate.state == "ruled_out" for facts in candidates])
    out = out & ~out.all()  # a room that was ruled out is shown, and never proposed
    order = ranking.order(missed + len(needs) * out.astype(np.int64) + out, total)
    first, open_ones = int(order[0]), np.flatnonzero(~out)
    able = open_ones[ranking.contenders(table.needs, table.facts.of(open_ones), MOST_RANKED)]
    able = np.union1d(able, [first])
    place_of = {int(room): at for at, room in enumerate(able)}
    among = table.facts.of(able)
    drawn = ranking.draw(table.needs, among, place_of[first], DRAWS)
    beaten = np.full(len(candidates), -1)
    few = order[:MOST_RANKED]
    by = ranking.beaten_by(table.needs, table.facts.of(few))
    beaten[few] = np.where(by >= 0, few[by], -1)
    worth = ranking.worth(table.needs, table.facts.figure)
    ranked = []
    for room in map(int, order):
        at = place_of.get(room)
        parts = tuple(_parts(needs, table, cells[room], worth[room], room))
        required = [part for part in parts if part.required and part.cell.level != "outside"]
        missing = tuple(part.topic for part in required if part.status != "met")
        ranked.append(
            Ranked(
                comparison.candidates[room],
                len(required) - len(missing),
                len(required),
                missing,
                float(total[room]),
                0.0 if at is None else float(drawn.first_share[at]),
                at is not None and room != first and float(drawn.ahead[at]) < TOLD_APART,
                candidates[beaten[room]].room_name if beaten[room] >= 0 else None,
                parts,
                _acts(candidates[room], missing, parts),
            )
        )
    rows = ranking.changes(table.needs, among)
    measure = tuple(
        _measure(row, able, table, comparison, candidates, scene) for row in rows if row.share > 0
    )[:MOST_SHOWN]
    return Choosing(
        comparison,
        tuple(ranked),
        measure,
        answer([room for room in ranked if room.head.state != "ruled_out"] or ranked),
        tuple(_turns(needs, table, candidates, rows, able)),
        (*notes, *_none_meets(ranked)),
    )


def tabled(
    needs: Sequence[Need], cells: Sequence[Sequence[NeedCell]], places: Sequence[int]
) -> Table:
    """Cells as numbers; what a place says of itself is one fact for all of its rooms."""
    scales = [scale_of(need) for need in needs]
    asked = needs_as_numbers(needs, scales)
    owners: dict[tuple[str, int, int], tuple[int, tuple[int, int]]] = {}
    rows: list[list[Lying]] = []
    fact = np.full((len(cells), len(needs)), -1, dtype=np.int64)
    for room, row in enumerate(cells):
        rows.append([lying(scale, cell) for scale, cell in zip(scales, row, strict=True)])
        for at, need in enumerate(needs):
            if rows[-1][at].spread == ranking.SURE:
                continue
            of_place = isinstance(need, OF_PLACE)
            key = ("place", places[room], at) if of_place else ("room", room, at)
            fact[room, at] = owners.setdefault(key, (len(owners), (room, at)))[0]
    figures = np.array(
        [[np.nan if one.figure is None else one.figure for one in row] for row in rows]
    )
    facts = ranking.Facts(
        figures,
        np.array([[one.low for one in row] for row in rows]),
        np.array([[one.high for one in row] for row in rows]),
        np.array([[one.spread for one in row] for row in rows], dtype=np.int64),
        fact,
        np.array([[cell.level != "outside" for cell in row] for row in cells]),
    )
    return Table(asked, facts, tuple(cell for _, cell in owners.values()))


def needs_as_numbers(needs: Sequence[Need], scales: Sequence[Scale]) -> ranking.Needs:
    """What is asked, as numbers."""
    return ranking.Needs(
        np.array([scale.sense for scale in scales], dtype=float),
        np.array([scale.limit for scale in scales], dtype=float),
        np.array([scale.worst for scale in scales], dtype=float),
        np.array([scale.best for scale in scales], dtype=float),
        np.array([need.bend or 0.0 for need in needs], dtype=float),
        np.array([need.strength == "must" for need in needs], dtype=bool),
        np.array([need.weight for need in needs], dtype=float),
    )


def _parts(
    needs: Sequence[Need], table: Table, cells: Sequence[NeedCell], worth: np.ndarray, room: int
) -> list[Part]:
    counts = np.where(table.facts.applies[room] & ~table.needs.required, table.needs.weight, 0.0)
    whole = float(counts.sum()) or 1.0
    found = []
    for at, (need, cell) in enumerate(zip(needs, cells, strict=True)):
        holds = met_now(scale_of(need), cell)
        status: Status = "unknown" if holds is None else "met" if holds else "not_met"
        found.append(
            Part(
                need.topic,
                need_words(need),
                need.strength == "must",
                status,
                float(table.needs.weight[at]),
                float(worth[at]),
                float(counts[at] * worth[at] / whole),
                cell,
            )
        )
    return found


# which findings speak of a need
TOPICS: Mapping[str, tuple[str, ...]] = {
    "noise": ("sound",),
    "mic": ("sound",),
    "daylight": ("light",),
    "lux": ("light",),
    "sun": ("sun",),
    "colour": ("colour",),
    "watts": ("power",),
    "sockets": ("power",),
    "framing": ("space",),
    "depth": ("space",),
    "access": ("access",),
    "when": ("hours",),
}


def _acts(facts: CandidateFacts, missing: Sequence[str], parts: Sequence[Part]) -> tuple[Act, ...]:
    """What would help with what is not met: three acts at most, for the required first."""
    wanting = [*missing, *(p.topic for p in parts if not p.required and p.status != "met")]
    topics = list(dict.fromkeys(topic for need in wanting for topic in TOPICS.get(need, ())))
    found: dict[tuple[str, object], Act] = {}
    for topic in topics:
        for finding in facts.assessment.findings:
            if finding.topic == topic and finding.level in ("problem", "care", "unknown"):
                for act in finding.acts:
                    found.setdefault((act.code, act.values), act)
    return tuple(found.values())[:3]


def _measure(
    row: ranking.Changes,
    able: ranking.IntArray,
    table: Table,
    comparison: Comparison,
    candidates: Sequence[CandidateFacts],
    scene: SceneRecord,
) -> MeasureNext:
    room, need = int(able[row.room]), row.need
    facts, topic = candidates[room], comparison.rows[need].topic
    asked = (scene.needs or ())[need]
    of_place = isinstance(asked, OF_PLACE)
    return MeasureNext(
        _fact(asked, facts.location.name if of_place else facts.room_name, scene),
        topic,
        facts.room_id,
        facts.room_name,
        row.share,
        None if row.figure is None else said_on(topic, row.figure),
        None if row.instead is None else candidates[int(able[row.instead])].room_name,
    )


def _fact(need: Need, name: str, scene: SceneRecord) -> Said:
    at = None
    if need.topic == "noise":
        hours = {
            when.from_time
            for when in scene.needs or ()
            if isinstance(when, WhenNeed) and when.from_time is not None
        }
        at = time.fromisoformat(min(hours)) if hours else None
    return said("choice.fact", need=Word("need", need.topic), of=Name(name), at=at)


def _turns(
    needs: Sequence[Need],
    table: Table,
    candidates: Sequence[CandidateFacts],
    rows: Sequence[ranking.Changes],
    able: ranking.IntArray,
) -> list[Said]:
    """The smallest change of a weight, and of a fact, that puts another room first."""
    found: list[Said] = []
    if len(candidates) < 2:
        return found
    change = ranking.weight_change(table.needs, table.facts.of(able), MOST_WEIGHT)
    if change is not None:
        found.append(
            said(
                "choice.weight_turns",
                need=Word("need", needs[change.need].topic),
                now=Figure(float(needs[change.need].weight)),
                weight=Figure(round(change.weight, 1)),
                room=Name(candidates[int(able[change.room])].room_name),
            )
        )
    nearest: tuple[float, ranking.Changes] | None = None
    for row in rows:
        given = table.facts.figure[int(able[row.room]), row.need]
        if row.figure is None or row.instead is None or not np.isfinite(given):
            continue
        low, high = (
            part[int(able[row.room]), row.need] for part in (table.facts.low, table.facts.high)
        )
        step = abs(row.figure - given) / max(high - low, 1e-9)
        if nearest is None or step < nearest[0]:
            nearest = (step, row)
    if nearest is not None and nearest[1].figure is not None:
        row = nearest[1]
        topic = needs[row.need].topic
        facts = candidates[int(able[row.room])]
        found.append(
            said(
                "choice.fact_turns",
                need=Word("need", topic),
                of=Name(facts.room_name),
                at=said_on(topic, nearest[1].figure),
                room=Name(candidates[int(able[row.instead or 0])].room_name),
            )
        )
    if not found:
        found.append(said("choice.nothing_turns"))
    return found


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


def answer(ranked: Sequence[Ranked]) -> tuple[Said, ...]:
    """Which room to take, in one short sentence, and what its rivals lose on, in another."""
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
        good = _best_of(first, others[0] if others else None)
        mind = max(
            (p for p in first.parts if not p.required and p.status != "met"),
            key=lambda p: p.weight * (1.0 - p.worth),
            default=None,
        )
        lines = [
            said(
                "choice.take",
                room=room,
                good=None if good is None else GOOD[good],
                mind=None if mind is None else MIND[mind.topic],
            )
        ]
    for rival in others[:2]:
        name = Name(rival.head.room_name)
        if rival.alike:
            lines.append(said("choice.alike", room=room, other=name))
        elif len(rival.missing) > len(first.missing):
            lost = [topic for topic in rival.missing if topic not in first.missing]
            lines.append(said("choice.loses", room=name, needs=words("loss", lost[:2])))
        else:
            lost_on = _best_of(first, rival)
            if lost_on is not None:
                lines.append(said("choice.loses", room=name, needs=words("loss", [lost_on])))
    return tuple(lines)


def _best_of(first: Ranked, rival: Ranked | None) -> str | None:
    """The need in which a room is furthest ahead of another, the required before the preferred; of
    one room alone its best.
    """
    best: tuple[float, str] | None = None
    for at, part in enumerate(first.parts):
        other = rival.parts[at] if rival is not None else None
        if part.required:
            ahead = 10.0 * (part.status == "met") * (other is None or other.status != "met")
        else:
            ahead = part.adds - (other.adds if other is not None else 0.0)
        if ahead > 1e-9 and (best is None or ahead > best[0]):
            best = (ahead, part.topic)
    return None if best is None else best[1]


def _odd(needs: Sequence[Need], today: date) -> list[Said]:
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


def _none_meets(ranked: Sequence[Ranked]) -> list[Said]:
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
        found.append(said("choice.back", need=Word("need", back), rooms=rooms))
    return found
