"""Choosing: which room comes first for a scene, why, how surely, and what to measure next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from math import ceil, floor

import numpy as np

from scout.assess.answers import Act
from scout.assess.choice.cells import MEETS, CandidateFacts, NeedCell
from scout.assess.choice.compare import Comparison, need_words
from scout.assess.choice.ranked import Choosing, MeasureNext, Part, Ranked, Status
from scout.assess.choice.saying import answer, none_meets, odd
from scout.assess.choice.scales import Lying, Scale, lying, said_on, scale_of
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
from scout.values import Figure, Many, Name, Said, Value, Word, said

DRAWS = 500
MOST_RANKED = 300  # rooms that are drawn; those that cannot come first are never among them
MOST_SHOWN = 5  # facts to measure next
# two rooms are told apart where one is ahead in two draws of three at least (our own rule)
TOLD_APART = 2.0 / 3.0
OF_PLACE = (BudgetNeed, PermitNeed, NeighboursNeed, TravelNeed, WhenNeed)


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
    notes = tuple(odd(needs, today))
    dates = sorted({one.on for head in comparison.candidates for one in head.dates})
    if dates:
        notes += (said("choice.dates", dates=Many(tuple(dates))),)
    if not needs or not candidates:
        empty = tuple(
            Ranked(head, 0, 0, (), 0.0, 1.0 / len(candidates), True, None, (), (), (), ())
            for head in comparison.candidates
        )
        return Choosing(comparison, empty, (), (), (), notes)
    cells = [[row.cells[i] for row in comparison.rows] for i in range(len(candidates))]
    places = [facts.location_id or facts.room_id for facts in candidates]
    table = tabled(needs, cells, places)
    missed, total = ranking.score(table.needs, table.facts.applies, table.facts.figure)
    out = np.array([facts.candidate.state == "ruled_out" for facts in candidates])
    out = out & ~out.all()  # a room that was ruled out is shown, and never proposed
    behind_all = missed + (len(needs) + 1) * out
    shown = _shown(table, cells)
    few = ranking.order(behind_all, total)[:MOST_RANKED]
    beats = ranking.beats(shown.of(few))
    beaten_times = np.zeros(len(candidates), dtype=np.int64)
    beaten_times[few] = beats.sum(axis=0)
    order = ranking.order(behind_all, total, beaten_times)
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.arange(len(order))
    beaten = {
        int(room): int(min(few[beats[:, at]], key=lambda one: place[one]))
        for at, room in enumerate(few)
        if beats[:, at].any()
    }
    first, open_ones = int(order[0]), np.flatnonzero(~out)
    able = open_ones[ranking.contenders(table.needs, table.facts.of(open_ones), MOST_RANKED)]
    able = np.union1d(able, [first])
    place_of = {int(room): at for at, room in enumerate(able)}
    among = table.facts.of(able)
    drawn = ranking.draw(table.needs, among, place_of[first], DRAWS)
    worse = ranking.against(ranking.Shown(-shown.level, -shown.figure, shown.alike), first)[1]
    worth = ranking.worth(table.needs, table.facts.figure)
    lead = np.where(table.needs.required, 1000.0, table.needs.weight) * (worth[first] - worth)
    met = ranking.met(table.needs, table.facts.figure)
    lead = np.where(worse & (~table.needs.required | (met[first] & ~met)), lead, 0.0)
    ranked = []
    for room in map(int, order):
        at = place_of.get(room)
        parts = tuple(_parts(needs, table, cells[room], worth[room], room))
        required = [part for part in parts if part.required and part.cell.level != "outside"]
        missing = tuple(part.topic for part in required if part.status != "met")
        alike = at is not None and room != first and float(drawn.ahead[at]) < TOLD_APART
        behind = [parts[need].topic for need in np.argsort(-lead[room]) if lead[room, need] > 1e-9]
        dark = [
            part.topic
            for part, of_first in zip(parts, cells[first], strict=True)
            if part.cell.level == "unknown" and of_first.level != "unknown"
        ]
        ranked.append(
            Ranked(
                comparison.candidates[room],
                len(required) - len(missing),
                len(required),
                missing,
                float(total[room]),
                0.0 if at is None else float(drawn.first_share[at]),
                alike,
                candidates[beaten[room]].room_name if room in beaten and not alike else None,
                tuple(dict.fromkeys(behind)),
                tuple(dict.fromkeys(dark)),
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
        (*notes, *none_meets(ranked)),
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


def _shown(table: Table, cells: Sequence[Sequence[NeedCell]]) -> ranking.Shown:
    """What the cells show. What nobody knows is alike only where it is one fact of one place."""
    rank = {"fail": 0.0, "care": 1.0, "pass": 2.0}
    level = np.array([[rank.get(cell.level, np.nan) for cell in row] for row in cells])
    order = np.array([[np.nan if c.order is None else c.order for c in row] for row in cells])
    read = np.array([[cell.reading is not None for cell in row] for row in cells])
    figure = np.where(read, table.needs.sense * table.facts.figure, order.astype(float))
    numbers: dict[object, int] = {}
    alike = np.empty(level.shape, dtype=np.int64)
    for room, row in enumerate(cells):
        for at, cell in enumerate(row):
            fact = int(table.facts.fact[room, at])
            key: object = (cell.level, cell.figure, cell.why)
            if cell.level == "unknown":
                key = ("unknown", fact)
            alike[room, at] = numbers.setdefault(key, len(numbers))
    return ranking.Shown(level, figure, alike)


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
        holds = MEETS[cell.level]
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
        _from_where(row, able, table, topic),
        None if row.instead is None else candidates[int(able[row.instead])].room_name,
    )


def _from_where(
    row: ranking.Changes, able: ranking.IntArray, table: Table, topic: str
) -> Said | None:
    """From which figure on, and on which side of it, a fact puts another room first."""
    if row.figure is None or row.instead is None:
        return None
    figure, limit = row.figure, float(table.needs.limit[row.need])
    sense = float(table.needs.sense[row.need])
    # a room comes first because its own fact is better, or another because the first's is worse
    better = table.facts.fact[int(able[row.instead]), row.need] == row.fact
    if table.needs.required[row.need] and better == (sense * (figure - limit) >= -1e-9):
        figure = limit  # it is there that what is required begins or ceases to be met
    at = said_on(topic, figure)
    if at is None:
        return None
    if better:
        return said("choice.at_least", at=at) if sense > 0 else said("choice.at_most", at=at)
    return said("choice.under", at=at) if sense > 0 else said("choice.over", at=at)


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
        now = float(table.needs.weight[change.need])
        over = change.weight > now
        tenths = round(10.0 * change.weight, 6)
        named: dict[str, Value] = {
            "need": Word("need", needs[change.need].topic),
            "now": Figure(now),
            "weight": Figure((ceil(tenths) if over else floor(tenths)) / 10.0),
            "room": Name(candidates[int(able[change.room])].room_name),
        }
        found.append(
            said("choice.weight_over", **named) if over else said("choice.weight_under", **named)
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
    if nearest is not None:
        row = nearest[1]
        topic = needs[row.need].topic
        facts = candidates[int(able[row.room])]
        found.append(
            said(
                "choice.fact_turns",
                need=Word("need", topic),
                of=Name(facts.room_name),
                at=_from_where(row, able, table, topic),
                room=Name(candidates[int(able[row.instead or 0])].room_name),
            )
        )
    if not found and not any(row.share > 0 for row in rows):
        found.append(said("choice.nothing_turns"))
    return found
