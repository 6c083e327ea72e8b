"""Needs of power, at their borders by hand; circuits are invented beside each test."""

from __future__ import annotations

from typing import Any

import pytest

from scout.assess.choice.cells import CandidateFacts
from scout.values import names
from tests.assess.choice.candidates import (
    NOT_MEASURED,
    candidate,
    check,
    judged,
    value_in,
)


def wired(*circuits: dict[str, Any], share: float | None = None) -> CandidateFacts:
    return candidate(
        room={"circuits": [{"id": f"K{i + 1}", **c} for i, c in enumerate(circuits)]}, share=share
    )


RING = {"volts": 230, "breaker_a": 16, "other_load_w": 150, "verified": True}
UNTRACED = {**RING, "verified": False}
UNREAD = {**RING, "other_load_w": None}


@pytest.mark.parametrize(
    ("asked", "circuits", "level", "figure", "watts", "why"),
    [
        # by hand: 230 V x 16 A x 0.8 - 150 W = 2794 W
        (2794, [RING], "pass", "need.watts_spare", 2794, "need.all_circuits"),
        (2795, [RING], "fail", "need.watts_spare", 2794, "need.watts_short"),
        (2794, [UNTRACED], "care", "need.watts_spare", 2794, "need.not_traced"),
        # property: what else hangs on a circuit is not known to be nothing. By hand: 230 x 16 x
        # 0.8 = 2944 W at the most, with 150 W on another 2794.
        (2944, [UNREAD], "unknown", "need.watts_spare", 2944, "unmeasured"),
        (2945, [UNREAD], "fail", "need.watts_most", 2944, "need.watts_short"),
        (2794, [RING, UNREAD], "pass", "need.watts_spare", 2794, "need.all_circuits"),
        (3000, [RING, UNREAD], "unknown", "need.watts_spare", 5738, "unmeasured"),
        (5588, [RING, RING], "pass", "need.watts_spare", 5588, "need.all_circuits"),
        (2800, [RING, {"volts": 230}], "unknown", "need.watts_least", 2794, "unmeasured"),
        (10, [{"volts": 230}], "unknown", "need.not_measured", None, "unmeasured"),
    ],
)
def test_watts(
    asked: float,
    circuits: list[dict[str, Any]],
    level: str,
    figure: str,
    watts: float | None,
    why: str,
) -> None:
    cell = judged({"topic": "watts", "watts": asked}, wired(*circuits))
    check(cell, level, figure, why)
    if watts is not None:
        assert cell.figure["watts"].value == pytest.approx(watts)
    if why == "need.watts_short":
        assert cell.why["short"].value == pytest.approx(asked - (watts or 0.0))


def test_watts_by_the_share_of_the_kit() -> None:
    # by hand: at a share of 0.5 it is 230 x 16 x 0.5 - 150 = 1690 W
    need = {"topic": "watts", "watts": 1690}
    assert judged(need, wired(RING, share=0.5)).level == "pass"
    assert judged({**need, "watts": 1691}, wired(RING, share=0.5)).level == "fail"
    check(judged(need), "unknown", NOT_MEASURED, "unmeasured.many")
    doubt = judged({"topic": "watts", "watts": 2900}, wired(UNREAD)).figure["watts"]
    assert (doubt.low, doubt.high) == (0.0, pytest.approx(2944))


def test_watts_of_a_circuit_that_no_outlet_of_the_room_hangs_on() -> None:
    def cell(watts: float, *outlets: dict[str, Any]) -> Any:
        circuits = [{"id": "K1", **RING}, {"id": "K2", **RING}]
        room = {"circuits": circuits, "outlets": list(outlets)}
        return judged({"topic": "watts", "watts": watts}, candidate(room=room))

    one = {"id": "P1", "circuit": "K1"}
    check(cell(2794, one), "pass", None, "need.all_circuits")
    # by hand: K2 would make it 5588 W
    check(cell(5588, one), "unknown", "need.watts_least", "need.no_outlet_on")
    assert value_in(cell(5588, one).why, "circuits") == names(["K2"])
    check(cell(5589, one), "fail", "need.watts_spare", "need.watts_short")
    check(cell(5588, one, {"id": "P2", "circuit": "K2"}), "pass", None, "need.all_circuits")
