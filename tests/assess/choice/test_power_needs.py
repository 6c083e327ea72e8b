"""Needs of power, at their borders by hand; circuits are invented beside each test."""

from __future__ import annotations

from typing import Any

import pytest

from scout.assess import answers as a
from scout.assess.answers import Change, act
from scout.assess.choice.cells import CandidateFacts, listed
from scout.assess.power import kinds
from scout.records.kit import Charger, Kit, Light
from scout.values import Figure, Name, names
from tests.assess.choice.candidates import (
    NOT_MEASURED,
    WHY,
    candidate,
    check,
    judged,
    value_in,
)

PLANNED = a.PowerAnswer(feasible=True)  # every light plugs in


def wired(*circuits: dict[str, Any], share: float | None = None) -> CandidateFacts:
    return candidate(
        room={"circuits": [{"id": f"K{i + 1}", **c} for i, c in enumerate(circuits)]},
        kit=Kit(continuous_share=share),
        power=PLANNED,
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
        return judged({"topic": "watts", "watts": watts}, candidate(room=room, power=PLANNED))

    one = {"id": "P1", "circuit": "K1"}
    check(cell(2794, one), "pass", None, "need.all_circuits")
    # by hand: K2 would make it 5588 W
    check(cell(5588, one), "unknown", "need.watts_least", "need.no_outlet_on")
    assert value_in(cell(5588, one).why, "circuits") == names(["K2"])
    check(cell(5589, one), "fail", "need.watts_spare", "need.watts_short")
    check(cell(5588, one, {"id": "P2", "circuit": "K2"}), "pass", None, "need.all_circuits")


LIGHT, LEAD = names(["back"]).items, Figure(9.0, "m")
SPLIT = act("bring.splitter", circuit=Name("K1"), buys=Change("without_socket", "count", 1.0, 0.0))
NO_SOCKET = kinds.SocketsShort(level="problem", about=LIGHT)
SPLIT_SOCKET = kinds.SocketsShort(level="problem", about=LIGHT, acts=(SPLIT,))
TAKEN = kinds.LeadTaken(level="care", about=LIGHT, need=LEAD)
FAR = kinds.LengthUnknown(level="unknown", about=LIGHT, because=WHY)
OFF = kinds.OffTheMains(level="good")


@pytest.mark.parametrize(
    ("plan", "level", "of_sockets", "because"),
    [
        ((OFF,), "pass", "pass", None),
        ((TAKEN,), "care", "pass", TAKEN),
        ((SPLIT_SOCKET,), "care", "care", SPLIT_SOCKET),
        ((NO_SOCKET,), "fail", "fail", NO_SOCKET),
        ((FAR,), "unknown", "pass", FAR),
        ((TAKEN, FAR), "unknown", "pass", FAR),
        ((NO_SOCKET, TAKEN), "fail", "fail", NO_SOCKET),
    ],
)
def test_what_is_counted_is_no_better_than_the_plan(
    plan: tuple[Any, ...], level: str, of_sockets: str, because: Any
) -> None:
    room = {
        "circuits": [{"id": "K1", **RING}],
        "outlets": [{"id": "P1", "circuit": "K1", "sockets": 2}],
    }
    facts = candidate(room=room, findings=plan)
    watts = judged({"topic": "watts", "watts": 2794}, facts)
    assert watts.level == level
    if because is not None:
        assert (watts.why, watts.figure.code) == (listed(because.said()), "need.watts_spare")
    # a count that holds is no figure to weigh a plan by that does not
    assert (watts.reading is None) == (level in ("fail", "unknown"))
    assert judged({"topic": "sockets", "sockets": 2}, facts).level == of_sockets
    # by hand: 2794 W and two sockets are what there is; no plan makes more of them
    assert judged({"topic": "watts", "watts": 2795}, facts).level == "fail"
    assert judged({"topic": "sockets", "sockets": 3}, facts).level == "fail"


@pytest.mark.parametrize(
    ("kit", "level", "why"),
    [
        (None, "care", "need.count_alone"),
        (Kit(lights=()), "care", "need.count_alone"),
        (Kit(lights=(Light(id="key"),)), "unknown", "need.not_planned"),
        (Kit(chargers=(Charger(id="batteries"),)), "unknown", "need.not_planned"),
    ],
)
def test_what_is_only_counted_is_never_good(kit: Kit | None, level: str, why: str) -> None:
    room = {
        "circuits": [{"id": "K1", **RING}],
        "outlets": [{"id": "P1", "circuit": "K1", "sockets": 2}],
    }
    facts = candidate(room=room, kit=kit)
    for need in ({"topic": "watts", "watts": 2794}, {"topic": "sockets", "sockets": 2}):
        check(judged(need, facts), level, None, why)
    # a page of a room without a kit waits for the list: the count stands, with care
    waiting = candidate(room=room, kit=kit, power=a.PowerAnswer(missing=("kit.lights",)))
    assert judged({"topic": "watts", "watts": 2794}, waiting).level == level


def test_sockets_nobody_counted() -> None:
    # by hand: one socket is taken where nobody counted
    room = {"outlets": [{"id": "P1", "sockets": 2}, {"id": "P2"}]}
    facts = candidate(room=room, power=PLANNED)
    check(
        judged({"topic": "sockets", "sockets": 3}, facts),
        "pass",
        "need.socket_count",
        "need.within",
    )
    check(
        judged({"topic": "sockets", "sockets": 4}, facts),
        "unknown",
        "need.socket_count",
        "unmeasured",
    )
    check(judged({"topic": "sockets", "sockets": 4}), "unknown", NOT_MEASURED, "unmeasured.many")
