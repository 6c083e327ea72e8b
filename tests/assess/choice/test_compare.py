"""Needs against rooms: what passes, what wants care, what fails, what is unknown, each with its
figure and its reason.

The expected levels follow from the needs as stated, by hand; the facts of each room are invented
beside its test.
"""

from __future__ import annotations

import dataclasses

from scout.assess.choice.cells import NeedCell
from scout.assess.choice.compare import _ASKED, _JUDGES, Comparison, compare
from scout.records import SceneRecord
from scout.records.kept import NEED_TOPICS
from scout.values import said
from scout.web.forms.scenes import TOPIC_FIELDS
from scout.words import MESSAGES
from tests.assess.choice.candidates import (
    ON,
    candidate,
    scene,
)


def compared() -> Comparison:
    needs = scene(
        {"topic": "height", "strength": "must", "height_m": 2.5},
        {"topic": "watts", "strength": "must", "watts": 1000},
        {"topic": "budget", "strength": "wish", "weight": 2, "amount": 300, "currency": "GBP"},
        {"topic": "floor", "strength": "wish", "weight": 5, "width_m": 3, "length_m": 4},
    )
    low = candidate(
        1,
        room={"height_m": 2.3, "width_m": 5, "length_m": 5},
        place={"fee_amount": 200, "fee_currency": "GBP"},
        state="ruled_out",
    )
    high = candidate(
        2,
        room={
            "height_m": 3,
            "circuits": [{"id": "K1", "volts": 230, "breaker_a": 16, "other_load_w": 0}],
            "width_m": 2,
            "length_m": 2,
        },
        place={"fee_amount": 0},
    )
    return compare(needs, ON, [low, high])


def test_a_row_a_need_and_a_cell_a_candidate_in_the_order_given() -> None:
    found = compared()
    assert [row.topic for row in found.rows] == ["height", "watts", "budget", "floor"]
    assert [[cell.level for cell in row.cells] for row in found.rows] == [
        ["fail", "pass"],
        ["unknown", "care"],
        ["pass", "pass"],
        ["pass", "fail"],
    ]
    assert [row.weight for row in found.rows] == [
        None,
        None,
        2,
        5,
    ]  # a must is a must: it has no weight
    assert [head.room_name for head in found.candidates] == [
        "Room 1",
        "Room 2",
    ]  # never sorted by anything reckoned


def test_what_stands_at_the_head_is_counted_and_said_never_scored() -> None:
    first, second = compared().candidates
    counts = said("need.required_met", met=0, of=2, care=None, failed=1, unknown=1)
    assert first.summary["parts"].items == (counts, said("need.preferred_met", met=7, of=7))
    counts = said("need.required_met", met=2, of=2, care=1, failed=None, unknown=None)
    assert second.summary["parts"].items == (counts, said("need.preferred_met", met=2, of=7))
    assert (first.state, second.state) == (
        "ruled_out",
        "proposed",
    )  # a failed must rules nothing out by itself
    names = {
        field.name
        for kind in (Comparison, type(first), NeedCell)
        for field in dataclasses.fields(kind)
    }
    assert not any("score" in name or "rank" in name or "total" in name for name in names)


def test_a_scene_without_needs_or_candidates() -> None:
    assert compare(scene(), ON, [candidate()]).candidates[0].summary == said("need.none")
    assert compare(SceneRecord(name="Talk"), ON, []).rows == ()


def test_topics_of_needs_are_judged_said_and_asked_for() -> None:
    assert set(_JUDGES) == set(_ASKED) == set(TOPIC_FIELDS) == set(NEED_TOPICS)
    assert all(f"need.{topic}" in MESSAGES for topic in NEED_TOPICS)
