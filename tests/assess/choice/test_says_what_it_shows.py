"""What is said of a choice is what its rows show: nothing that a sentence claims is denied by a row,
over the rooms of the demonstration and of the real house, for its scenes and every preset.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import numpy as np
import pytest

from scout.assess.choice.cells import CandidateFacts, NeedCell
from scout.assess.choice.choose import choose
from scout.assess.choice.compare import compare
from scout.assess.choice.ranked import Choosing, Part, Ranked
from scout.assess.choice.saying import GOOD, MIND, tells
from scout.records import CandidateRecord, LocationRecord, SceneRecord
from scout.records.presets import PRESETS
from scout.values import Figure, Many, Said, Word
from tests.demo_rooms import ON, ROOT, assessed

RANK = {"pass": 2, "care": 1, "fail": 0}
# which way a figure is better, as people read the column (common practice)
BETTER = {"m2": 1, "m": 1, "dBA": -1, "delta_e": -1, "W": 1, "km": -1, "lux": 1}


@lru_cache(maxsize=1)
def rooms() -> tuple[CandidateFacts, ...]:
    return tuple(
        CandidateFacts(
            key,
            key,
            name,
            CandidateRecord(),
            setup.place or LocationRecord.read({"name": "House"}),
            setup.sheet.room,
            found,
            None,
            setup.noises,
            key,
        )
        for key, (name, setup, found) in enumerate(assessed())
    )


def scenes() -> Iterator[tuple[str, SceneRecord]]:
    scenario = json.loads((ROOT / "demo_data/scenario.json").read_text(encoding="utf-8"))
    for one in scenario["scenes"]:
        made = SceneRecord.read(one["scene"], "scene")
        yield made.name, made
    for name, needs in PRESETS.items():
        preferred = [{**need, "strength": "wish"} for need in needs]
        yield name, SceneRecord.read({"name": name, "needs": list(needs)})
        yield f"{name}, preferred", SceneRecord.read({"name": name, "needs": preferred})


SCENES = dict(scenes())


def choices(asked: SceneRecord) -> Iterator[tuple[list[CandidateFacts], Choosing]]:
    """All rooms at once, and threes drawn from them."""
    chance = np.random.default_rng(len(asked.name))
    every = list(rooms())
    threes = list(itertools.combinations(range(len(every)), 3))
    drawn = [threes[at] for at in chance.choice(len(threes), 12, replace=False)]
    for few in (range(len(every)), *drawn):
        given = [every[at] for at in few]
        yield given, choose(asked, compare(asked, ON, given), given, ON)


def ahead(one: NeedCell, other: NeedCell) -> int | None:
    """1: the first cell reads as better, -1: as worse, 0: as no better and no worse; None: nobody
    could say, from the sign and the figure beside it alone.
    """
    if one.level not in RANK or other.level not in RANK:
        return None
    signs = [np.sign(RANK[one.level] - RANK[other.level])]
    if isinstance(one.figure, Figure) and isinstance(other.figure, Figure):
        side = BETTER.get(one.figure.unit)
        if side is not None:
            signs.append(side * np.sign(round(one.figure.value - other.figure.value, 6)))
    if {1, -1} <= set(signs):
        return None
    return int(max(signs, key=abs))


def topic_of(clause: Said, words: dict[str, Said] | Any) -> set[str]:
    return {topic for topic, one in words.items() if one == clause}


def lost(line: Said) -> list[str]:
    needs = line["needs"]
    assert isinstance(needs, Many)
    return [word.key for word in needs.items if isinstance(word, Word)]


def parts(room: Ranked, topic: str) -> list[Part]:
    return [part for part in room.parts if part.topic == topic]


def named(found: Choosing, name: Any) -> list[Ranked]:
    return [room for room in found.ranked if room.head.room_name == name.text]


@pytest.mark.parametrize("name", SCENES)
def test_no_sentence_is_denied_by_a_row(name: str) -> None:
    for given, found in choices(SCENES[name]):
        first = found.ranked[0]
        for line in found.line:
            if line.code == "choice.take":
                good, mind = dict(line.values).get("good"), dict(line.values).get("mind")
                if good is not None:
                    (topic,) = topic_of(good, GOOD)
                    assert any(part.cell.level == "pass" for part in parts(first, topic))
                if mind is not None and mind.code == "choice.mind.dark":
                    (word,) = lost(mind)
                    assert any(part.cell.level == "unknown" for part in parts(first, word))
                elif mind is not None:
                    topics = topic_of(mind, MIND) or {"daylight"}
                    mended = [part for topic in topics for part in parts(first, topic)]
                    assert any(part.cell.level in ("fail", "care") for part in mended)
                assert all(
                    part.cell.level in ("pass", "care")
                    for part in first.parts
                    if part.required and part.cell.level != "outside"
                )
            if line.code == "choice.loses":
                for topic in lost(line):
                    assert any(
                        ahead(one.cell, other.cell) == 1
                        for rival in named(found, line["room"])
                        for one, other in zip(first.parts, rival.parts, strict=True)
                        if one.topic == topic
                    ), (topic, str(line))
            if line.code == "choice.dark":
                for topic in lost(line):
                    assert any(
                        part.cell.level == "unknown"
                        for rival in named(found, line["room"])
                        for part in parts(rival, topic)
                    )
        by_name = {room.head.room_name: room for room in found.ranked}
        place = {room.head.candidate_id: at for at, room in enumerate(found.ranked)}
        for room in found.ranked:
            if room.beaten is None:
                continue
            other = by_name[room.beaten]
            assert not room.alike
            assert place[other.head.candidate_id] < place[room.head.candidate_id]
            signs = [
                0 if a.cell == b.cell and a.cell.level != "unknown" else ahead(a.cell, b.cell)
                for a, b in zip(other.parts, room.parts, strict=True)
            ]
            assert all(sign in (0, 1) for sign in signs), (room.head.room_name, signs)
            assert 1 in signs
        for turn in found.turns:
            if turn.code not in ("choice.weight_over", "choice.weight_under"):
                continue
            # property: with the weight a little further than said the room named comes first
            wanted = turn["weight"].value + (0.11 if turn.code == "choice.weight_over" else -0.11)
            need = turn["need"]
            assert isinstance(need, Word)
            asked = SCENES[name]
            again = asked.model_copy(
                update={
                    "needs": tuple(
                        one.model_copy(
                            update={
                                "weight": round(
                                    100 * (max(wanted, 0) if one.topic == need.key else one.weight)
                                )
                            }
                        )
                        for one in asked.needs or ()
                    )
                }
            )
            then = choose(again, compare(again, ON, given), given, ON)
            assert then.ranked[0].head.room_name == turn["room"].text, str(turn)


def test_the_rows_of_one_room_against_itself_are_alike() -> None:
    # property: a room is never beaten by its twin, and the two cannot be told apart
    one = rooms()[0]
    asked = next(iter(SCENES.values()))
    twins = [one, one]
    found = choose(asked, compare(asked, ON, twins), twins, ON)
    assert [room.beaten for room in found.ranked] == [None, None]
    assert found.ranked[1].alike


def told_rows(choosing: Choosing) -> list[bool]:
    return [tells(choosing.ranked, at) for at in range(len(choosing.ranked[0].parts))]


def test_a_row_that_decides_is_not_folded_where_rooms_are_alike() -> None:
    one = rooms()[0]
    twins = [one, one]
    for name, asked in SCENES.items():
        found = choose(asked, compare(asked, ON, twins), twins, ON)
        # property: of twins nothing tells one from the other; that neither will do is told
        for part, told in zip(found.ranked[0].parts, told_rows(found), strict=True):
            lacking = part.required and part.cell.level in ("fail", "unknown")
            assert told is lacking, (name, part.topic)
        missing = set(found.ranked[0].missing)
        shown = {
            part.topic
            for part, told in zip(found.ranked[0].parts, told_rows(found), strict=True)
            if told
        }
        assert missing <= shown, name
        # property: what a room is said to be first by, and its rivals to lose on, is on view
        found = choose(asked, compare(asked, ON, list(rooms())), list(rooms()), ON)
        for at, told in enumerate(told_rows(found)):
            parts = [room.parts[at] for room in found.ranked]
            named = any(parts[0].topic in (*room.behind, *room.dark) for room in found.ranked)
            assert told or not named, (name, parts[0].topic)
            assert told or len({part.cell.level for part in parts}) == 1, (name, parts[0].topic)
