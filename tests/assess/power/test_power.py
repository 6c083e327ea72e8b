"""Power from a sheet: who plugs in where, what is unknown and why, and what to do when it does not
fit.
"""

from __future__ import annotations

import re
import time
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.assess.answers import Finding, Placement, PowerAnswer, as_json, unmeasured
from scout.assess.power.findings import findings_of
from scout.assess.power.power import CAUTIONS, power
from scout.records.checks import read_sheet
from scout.records.sheet import RoomSheet
from scout.values import Figure, Name, names, said, words

KEY = {"id": "key", "watts": 300, "power_factor": 0.95}
AT_KEY = Placement("key", (3.366, 2.134, 2.425), (2.5, 3.0, 1.2), "planned")


def a_sheet(
    lights: list[dict[str, Any]] | None,
    circuits: list[dict[str, Any]] | None,
    outlets: list[dict[str, Any]] | None,
    cables: list[dict[str, Any]] | None = None,
    doors: list[dict[str, Any]] | None = None,
    **kit: Any,
) -> RoomSheet:
    return read_sheet(
        {
            "schema": "room-sheet/1",
            "room": {
                "setting": "interior",
                "width_m": 5.0,
                "length_m": 6.5,
                "height_m": 2.7,
                "circuits": circuits,
                "outlets": outlets,
                "doors": doors,
            },
            "kit": {"lights": lights, "cables": cables, **kit},
        }
    )


def circuit(
    name: str,
    volts: float | None = 230,
    breaker: float | None = 16,
    other: float | None = 0,
    verified: bool | None = True,
) -> dict[str, Any]:
    return {
        "id": name,
        "volts": volts,
        "breaker_a": breaker,
        "other_load_w": other,
        "verified": verified,
    }


def outlet(
    name: str, on: str | None, sockets: int | None = 9, wall: str = "B", offset: float = 0.6
) -> dict[str, Any]:
    return {
        "id": name,
        "wall": wall,
        "offset_m": offset,
        "height_m": 0.3,
        "circuit": on,
        "sockets": sockets,
    }


def lights(*watts: float | tuple[float, float]) -> list[dict[str, Any]]:
    pairs = [one if isinstance(one, tuple) else (one, 1.0) for one in watts]
    return [
        {"id": f"L{i}", "watts": w, "power_factor": factor} for i, (w, factor) in enumerate(pairs)
    ]


def codes(found: PowerAnswer) -> set[str]:
    """The codes of what is assumed."""
    return {one.code for one in found.assumed}


def assumed(found: PowerAnswer, code: str) -> Any:
    return next(one for one in found.assumed if one.code == code)


def judged(sheet: RoomSheet, placements: dict[str, Placement] | None = None) -> dict[str, Any]:
    """What it comes to, by code; no code twice in these tests."""
    placed = placements or {}
    found = findings_of(sheet, power(sheet, placed), placed)
    assert len({one.code for one in found}) == len(found)
    return {one.code: one for one in found}


def acts(finding: Finding) -> list[str]:
    return [one.code for one in finding.acts]


def ors(finding: Finding) -> list[str]:
    return [one.code for one in finding.instead]


def test_the_sheet_of_the_format() -> None:
    sheet = a_sheet(
        [KEY],
        [circuit("K1", other=150, verified=False)],
        [outlet("P1", "K1", 2)],
        [{"length_m": 10, "conductor_mm2": 1.5}],
    )
    found = power(sheet, {"key": AT_KEY})
    assert found.feasible is True
    # By hand: 0.8 * 16 = 12.8 A; 150/230 + 300/(230*0.95) = 2.025 A; the published form of the
    # sheet prints 12.8, 2.03, 0.159.
    assert found.circuits[0].limit_a == pytest.approx(12.8)
    assert found.circuits[0].load_a == pytest.approx(2.03, abs=0.005)
    assert found.circuits[0].share == pytest.approx(0.159, abs=0.001)
    row = found.assignment[0]
    assert (row.light, row.outlet, row.circuit) == ("key", "P1", "K1")
    # By hand: straight across 4.105 m; (4.105 + 0.3 + 2.425) * 1.1 = 7.51 m.
    assert row.cable_m == pytest.approx(7.51, abs=0.005)
    assert row.straight_m == pytest.approx(4.10, abs=0.006)
    assert (
        re.sub(r"\s", " ", str(row.cable_words))
        == "7.51 m with rise and slack, 10 m cable, taped over the floor"
    )
    # By hand: the whole 10 m lead, 2 * 10 * 0.0133 * 1.1965 * 1.373 / 230 = 0.190 %.
    assert row.volt_drop_pct == pytest.approx(0.190, abs=0.001)
    assert found.unplaced == ()
    assert found.guessed == ("K1",)
    assert assumed(found, "power.share")["share"] == Figure(80.0, "%")


def test_worked_case_1() -> None:
    # Source: exhaustive search. 120 V; K1 20 A with 150 W on it, K2 15 A.
    found = power(
        a_sheet(
            lights(650, 650, (300, 0.95), (300, 0.95), (150, 0.9), (60, 0.6)),
            [circuit("K1", 120, 20, 150), circuit("K2", 120, 15)],
            [outlet("P1", "K1"), outlet("P2", "K2")],
        ),
        {},
    )
    assert found.feasible
    assert [row.lights_a for row in found.circuits] == pytest.approx([10.270, 8.048], abs=0.001)
    assert found.circuits[0].load_a == pytest.approx(10.270 + 1.25, abs=0.001)
    assert [row.limit_a for row in found.circuits] == pytest.approx([16, 12])


def test_worked_case_4_names_the_one_left_out_and_the_shortfall() -> None:
    # By hand: 3 x 8.333 A on two circuits of 16 A: 25 < 32, yet two on one are 16.667, 0.667 A too
    # much: 80 VA, so that a light of 920 VA would do.
    sheet = a_sheet(
        lights(1000, 1000, 1000),
        [circuit("K1", 120, 20), circuit("K2", 120, 20)],
        [outlet("P1", "K1"), outlet("P2", "K2")],
    )
    found = power(sheet, {})
    assert found.feasible is False
    assert len(found.unplaced) == 1
    left = found.unplaced[0]
    assert left.short_a == pytest.approx(0.667, abs=0.0005)
    assert left.fits_va == pytest.approx(920)
    assert left.because.code == "power.because.current"
    finding = judged(sheet)["power.left_out"]
    assert finding.level == "problem"
    assert finding.short.value == pytest.approx(0.667, abs=0.0005)
    # nothing else hangs there that could be switched off: that act is not offered
    assert (acts(finding), ors(finding)) == (["swap.light"], ["bring.battery"])
    assert finding.acts[0]["most"].value == pytest.approx(920)
    assert all((one.buys.before, one.buys.after) == (1, 0) for one in finding.acts if one.buys)


def test_the_least_change_is_a_swap_on_the_circuit_that_is_over() -> None:
    # By hand: 1000 and 700 VA on 0.8 x 8 x 120 = 768 and 0.8 x 12 x 120 = 1152 VA fit; with 300
    # more, the cheapest is 700 + 300 on the small one? 232 over;
    # 1000 + 300 on the large one is 148 over, and 700 + 300 on the large one leaves 1000 on the
    # small one, 232 over. So 148 it is.
    sheet = a_sheet(
        lights(1000, 700, 300),
        [circuit("K1", 120, 8), circuit("K2", 120, 12)],
        [outlet("P1", "K1"), outlet("P2", "K2")],
    )
    left = power(sheet, {}).unplaced
    # the smallest light whose battery mends it
    assert [(row.light, row.circuit, row.instead) for row in left] == [("L2", "K2", "L2")]
    assert left[0].fits_va == pytest.approx(152)
    assert left[0].short_a == pytest.approx(148 / 120)


def test_what_else_hangs_there_is_switched_off_where_there_is_enough_of_it() -> None:
    # By hand: 0.8 x 10 x 230 = 1840 VA; 1500 + 600 is 260 over.
    def left(other: float) -> Any:
        rooms = [circuit("K1", 230, 10, other)]
        return judged(a_sheet(lights(1500), rooms, [outlet("P1", "K1")]))["power.left_out"]

    finding = left(600)
    ways = (*finding.acts, *finding.instead)
    freed = next(one for one in ways if one.code == "free.circuit")
    assert freed["watts"].value == pytest.approx(260)
    assert (freed.buys.before, freed.buys.after) == (1, 0)
    # all of 341 W goes: 1500 fits then, yet 1841 - 1840 is what must go
    assert "free.circuit" in [*acts(left(341)), *ors(left(341))]
    # property: one act lets the light in, so that one is asked
    assert len(finding.acts) == 1


def test_nobody_is_sent_for_batteries_for_tungsten() -> None:
    # common practice: tungsten heads of hundreds of watts run on the mains alone
    hot, led = lights(1000, 1000)
    hot = {**hot, "spectrum": "tungsten"}
    sheet = a_sheet([hot, led], [], [])
    for finding in judged(sheet).values():
        for one in finding.acts:
            if one.code == "bring.battery":
                assert str(hot["id"]) not in {str(name) for name in one["lights"].items}
    alone = a_sheet([hot], [], [])
    assert all("bring.battery" not in acts(one) for one in judged(alone).values())


def test_two_lights_too_many_are_named_together() -> None:
    # By hand: one circuit of 0.8 x 10 x 230 = 1840 VA carries one of three lights of 1000 VA; two
    # must go.
    sheet = a_sheet(lights(1000, 1000, 1000), [circuit("K1", 230, 10)], [outlet("P1", "K1")])
    finding = judged(sheet)["power.left_out"]
    assert len(finding.about) == 2
    assert acts(finding) == ["bring.battery"]
    assert finding.acts[0]["lights"].items == finding.about
    assert (finding.acts[0].buys.before, finding.acts[0].buys.after) == (2, 0)
    assert "power.circuit_unproven" not in judged(sheet)


def test_many_lights_too_many_are_answered_in_good_time_and_without_false_promises() -> None:
    # 20 different lights, 12,600 VA in all, on three circuits of 2944 VA: hundreds of choices of
    # what to leave out come near each other.
    watts = [500 + 13.7 * i for i in range(20)]
    points = [outlet(f"P{i}", f"K{i}", 9) for i in range(3)]
    sheet = a_sheet(lights(*watts), [circuit(f"K{i}") for i in range(3)], points)
    began = time.process_time()
    found = power(sheet, {})
    assert time.process_time() - began < 10  # generous: the machine may be busy
    assert found.feasible is False
    left = [watts[int(row.light[1:])] for row in found.unplaced]
    # by hand: what is over is 20 x 500 + 13.7 x 190 - 3 x 2944 = 3771 VA, so six must go at the
    # least (the five largest are 3664.5), and no less in all
    assert len(left) == 6
    assert 3771 <= sum(left) < 3771 * 1.1


@pytest.mark.parametrize(("feasible", "level"), [(False, "care"), (True, "good")])
def test_a_search_cut_short_is_said_and_no_other(feasible: bool, level: str) -> None:
    sheet = a_sheet(lights(100), [circuit("K1")], [outlet("P1", "K1")])
    answer = power(sheet, {})
    assert answer.proven
    assert answer.least_share is None
    cut = replace(answer, proven=False, feasible=feasible, least_share=0.01)
    finding: Any
    (finding,) = (
        one for one in findings_of(sheet, cut, {}) if one.code == "power.circuit_unproven"
    )
    assert finding.level == level
    assert finding.least.value == pytest.approx(1.0)
    # by hand: 100 W of 0.8 x 16 x 230 = 2944 W
    assert finding.share.value == pytest.approx(3.397, abs=0.001)
    assert all(one.code != "power.circuit_unproven" for one in findings_of(sheet, answer, {}))


def test_an_unread_breaker_is_unknown_and_used_last() -> None:
    rooms = [circuit("K1", 120, None), circuit("K2", 120, 20)]
    small = power(a_sheet(lights(600), rooms, [outlet("P1", "K1"), outlet("P2", "K2")]), {})
    assert small.feasible is True
    assert small.assignment[0].circuit == "K2"
    assert small.circuits[0].limit_a is None
    assert small.circuits[0].share is None
    assert small.circuits[0].unknown == unmeasured("circuits.K1.breaker_a")
    large = power(a_sheet(lights(1000, 1000), rooms, [outlet("P1", "K1"), outlet("P2", "K2")]), {})
    assert large.feasible is None
    assert large.missing == ("circuits.K1.breaker_a",)
    assert {row.circuit for row in large.assignment} == {"K1", "K2"}
    assert large.circuits[0].load_a == pytest.approx(
        8.333, abs=0.001
    )  # the current counts all the same


def test_other_load_not_recorded_is_not_zero() -> None:
    found = power(a_sheet(lights(600), [circuit("K1", other=None)], [outlet("P1", "K1")]), {})
    assert found.feasible is None
    assert found.circuits[0].load_a is None
    assert found.circuits[0].share is None
    assert found.circuits[0].lights_a == pytest.approx(600 / 230)
    assert found.missing == ("circuits.K1.other_load_w",)
    finding = judged(a_sheet(lights(600), [circuit("K1", other=None)], [outlet("P1", "K1")]))[
        "power.unknown"
    ]
    assert (finding.level, acts(finding)) == ("unknown", ["measure"])
    assert finding.facts == words("fact", found.missing)
    assert finding.acts[0].buys is None
    # property: what the lights alone overload is infeasible whatever else hangs there.
    assert (
        power(a_sheet(lights(3000), [circuit("K1", other=None)], [outlet("P1", "K1")]), {}).feasible
        is False
    )


def test_volts_not_recorded() -> None:
    found = power(a_sheet(lights(600), [circuit("K1", volts=None)], [outlet("P1", "K1")]), {})
    assert found.feasible is None
    assert found.circuits[0].load_a is None
    assert found.circuits[0].unknown == unmeasured("circuits.K1.volts")
    assert found.circuits[0].limit_a == pytest.approx(12.8)
    assert found.assignment[0].load_a is None


def test_outlets_without_a_circuit_share_one() -> None:
    found = power(a_sheet(lights(600, 600), [], [outlet("P1", None, 1), outlet("P2", None, 1)]), {})
    assert found.feasible is None
    assert len(found.circuits) == 1
    assert assumed(found, "power.one_circuit")["outlets"] == names(["P1", "P2"])
    assert found.missing == ("outlets.P1.circuit", "outlets.P2.circuit")
    assert [row.circuit for row in found.assignment] == [None, None]


def test_unverified_circuits_and_what_it_would_mean() -> None:
    rooms = [circuit("K1", 120, 15, verified=False), circuit("K2", 120, 15, verified=None)]
    found = power(a_sheet(lights(1000, 1000), rooms, [outlet("P1", "K1"), outlet("P2", "K2")]), {})
    assert found.feasible is True
    # By hand: 2 * 8.33 = 16.7 A on a limit of 12.
    assert found.together_a == pytest.approx(16.7, abs=0.05)
    assert found.together_limit_a == pytest.approx(12.0)
    finding = judged(a_sheet(lights(1000, 1000), rooms, [outlet("P1", "K1"), outlet("P2", "K2")]))[
        "power.untraced"
    ]
    assert (finding.level, finding.about) == ("care", (Name("K1"), Name("K2")))
    assert finding.together.value == pytest.approx(16.7, abs=0.05)
    assert acts(finding) == ["measure.circuits"]


def test_a_guessed_circuit_alone_or_unused_is_not_added_up() -> None:
    rooms = [circuit("K1", verified=False), circuit("K2")]
    found = power(a_sheet(lights(100), rooms, [outlet("P1", "K1")]), {})
    assert (found.guessed, found.together_a) == (("K1",), None)
    tried = power(a_sheet(lights(100), [rooms[0], rooms[1]], [outlet("P1", "K2")]), {})
    assert (tried.guessed, tried.together_a) == ((), None)


def test_power_factor_not_given() -> None:
    kinds = [
        {"id": "lamp", "watts": 600, "spectrum": "tungsten"},
        {"id": "panel", "watts": 60, "spectrum": "led"},
        {"id": "odd", "watts": 60},
    ]
    found = power(a_sheet(kinds, [circuit("K1")], [outlet("P1", "K1")]), {})
    # common practice: filament 1, electronic supply without correction 0.6.
    assert [row.load_a for row in found.assignment] == pytest.approx(
        [600 / 230, 100 / 230, 100 / 230]
    )
    electronic = assumed(found, "power.factor_electronic")
    assert (electronic["lights"], electronic["factor"]) == (names(["panel", "odd"]), Figure(0.6))
    assert assumed(found, "power.factor_filament")["lights"] == names(["lamp"])


def test_watts_not_recorded() -> None:
    found = power(
        a_sheet(
            [{"id": "a", "watts": None}, {"id": "b", "watts": 300, "power_factor": 1}],
            [circuit("K1")],
            [outlet("P1", "K1")],
        ),
        {},
    )
    assert found.feasible is None
    assert found.unknown == unmeasured("kit.lights.a.watts")
    assert [row.light for row in found.assignment] == ["b"]
    assert found.unplaced[0].light == "a"


def test_sockets_are_respected() -> None:
    sheet = a_sheet(lights(100, 200, 300), [circuit("K1")], [outlet("P1", "K1", 2)])
    found = power(sheet, {})
    assert found.feasible is False
    assert (found.unplaced[0].light, found.unplaced[0].short_a) == ("L0", None)
    assert (found.unplaced[0].because.code, found.unplaced[0].why) == (
        "power.because.sockets",
        "sockets",
    )
    finding = judged(sheet)["power.sockets_short"]
    assert (finding.level, finding.about) == ("problem", (Name("L0"),))
    # one of them lets all in: the other is what could be done instead
    assert (acts(finding), ors(finding)) == (["bring.splitter"], ["bring.battery"])
    assert finding.acts[0]["circuit"] == Name("K1")
    # by hand: three lights on one plate that nobody counted find no place on two sockets either; two
    # may, so how many it has is asked, and nobody is sent for batteries
    three, two = (
        judged(a_sheet(lights(*[100] * n), [circuit("K1")], [outlet("P1", "K1", None)]))
        for n in (3, 2)
    )
    assert three["power.sockets_short"].level == "problem"
    assert "power.sockets_short" not in two
    asked = two["power.sockets_uncounted"]
    assert (asked.level, acts(asked)) == ("unknown", ["measure"])
    assert asked.rests_on == ("outlets.P1.sockets",)
    uncounted = power(a_sheet(lights(100), [circuit("K1")], [outlet("P1", "K1", None)]), {})
    assert uncounted.feasible is True
    assert assumed(uncounted, "power.one_socket")["outlets"] == names(["P1"])


def test_two_acts_stand_where_neither_lets_all_in() -> None:
    one, two = ([{"id": f"C{i}", "watts": 50, "power_factor": 1} for i in range(n)] for n in (1, 2))
    # by hand: a splitter lets two chargers in, which have no batteries to run on
    sheet = a_sheet(lights(100), [circuit("K1")], [outlet("P1", "K1", 1)], chargers=two)
    finding = judged(sheet)["power.sockets_short"]
    assert (acts(finding), ors(finding)) == (["bring.splitter"], [])
    assert (finding.acts[0].buys.before, finding.acts[0].buys.after) == (2, 0)
    # by hand: 0.8 x 2 x 230 = 368 VA; 300 on it leave room for 60 or 50 more, not for both: with a
    # splitter or with batteries one is still left, so both are asked
    full = a_sheet(lights(300, 60), [circuit("K1", 230, 2)], [outlet("P1", "K1", 1)], chargers=one)
    finding = judged(full)["power.sockets_short"]
    assert (acts(finding), ors(finding)) == (["bring.splitter", "bring.battery"], [])
    assert [act.buys.after for act in finding.acts if act.buys] == [1, 1]


def test_lights_come_before_chargers() -> None:
    # by hand: two sockets, two lights and a charger that takes more than either; who charges can
    # wait, so it is care; where no light is out, the smallest is left out as ever
    hungry, small = (
        {"id": name, "watts": watts, "power_factor": 1}
        for name, watts in (("big", 300), ("wee", 20))
    )
    for sockets, chargers, waits, level in (
        (2, [hungry], ["big"], "care"),
        (3, [hungry, small], ["wee"], "care"),
        (1, [small], ["L1", "wee"], "problem"),
    ):
        sheet = a_sheet(
            lights(100, 60), [circuit("K1")], [outlet("P1", "K1", sockets)], chargers=chargers
        )
        answer = power(sheet, {})
        assert sorted(row.light for row in answer.unplaced) == sorted(waits)
        assert judged(sheet)["power.sockets_short"].level == level
    # property: a charger does not wait where that lets no light in
    sheet = a_sheet(
        lights(100, 900), [circuit("K1", 230, 2)], [outlet("P1", "K1", 2)], chargers=[small]
    )
    assert [row.light for row in power(sheet, {}).unplaced] == ["L1"]


def test_a_splitter_is_not_offered_on_a_circuit_that_is_full() -> None:
    # By hand: 0.8 x 2 x 230 = 368 VA; 300 are on it, 100 more are too many.
    sheet = a_sheet(lights(300, 100), [circuit("K1", 230, 2)], [outlet("P1", "K1", 1)])
    assert acts(judged(sheet)["power.sockets_short"]) == ["bring.battery"]


@pytest.mark.parametrize(
    ("cables", "gap"),
    [
        (None, "power.no_cables_listed"),
        ([{"length_m": 10}], "power.no_conductor"),
        ([{"length_m": 10, "conductor_mm2": 3.0}], "power.odd_conductor"),
    ],
)
def test_volt_drop_unknown(cables: list[dict[str, Any]] | None, gap: str) -> None:
    row = power(
        a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")], cables), {"key": AT_KEY}
    ).assignment[0]
    assert row.cable_m == pytest.approx(7.51, abs=0.005)
    assert row.volt_drop_pct is None
    assert row.unknown is not None
    assert row.unknown["gaps"].items[0].code == gap


@pytest.mark.parametrize(
    ("longest_m", "lack"), [(7.51, "short"), (7.52, None), (10, None), (None, "short")]
)
def test_a_light_whose_lead_does_not_reach_is_never_good(
    longest_m: float | None, lack: str | None
) -> None:
    # By hand: the key needs 7.5132 m; the next length sold is 10 m.
    cables = [] if longest_m is None else [{"length_m": longest_m, "conductor_mm2": 1.5}]
    sheet = a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")], cables)
    assert power(sheet, {"key": AT_KEY}).assignment[0].lead_lack == lack
    found = judged(sheet, {"key": AT_KEY})
    if lack is None:
        assert set(found) == {"power.all_plug_in"}
        return
    finding = found["power.lead_short"]
    assert set(found) == {"power.lead_short"}
    assert finding.level == "problem"
    assert finding.need.value == pytest.approx(7.51, abs=0.005)
    assert finding.longest.value == pytest.approx(longest_m or 0.0)
    (bring,) = finding.acts
    assert (bring.code, bring.who, bring["lights"]) == ("bring.lead", "carry", names(["key"]))
    assert bring["lead"] == finding.need
    assert (bring.buys.figure, bring.buys.before, bring.buys.after) == (
        "lead_m",
        longest_m or 0.0,
        10.0,
    )


def test_of_two_leads_alike_the_thicker_is_given() -> None:
    cables = [{"length_m": 10, "conductor_mm2": section} for section in (1.5, 2.5)]
    sheet = a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")], cables)
    assert power(sheet, {"key": AT_KEY}).assignment[0].conductor_mm2 == 2.5


TWO = [KEY, {"id": "fill", "watts": 300, "power_factor": 0.95}]
PLACES = {"key": AT_KEY, "fill": Placement("fill", (3.366, 3.134, 1.4), None, "planned")}


def test_one_act_for_all_lights_of_one_length() -> None:
    # By hand: the fill needs (3.213 + 0.3 + 1.4) x 1.1 = 5.40 m: 10 m for both.
    sheet = a_sheet(
        TWO, [circuit("K1")], [outlet("P1", "K1")], [{"length_m": 5, "conductor_mm2": 1.5}]
    )
    finding = judged(sheet, PLACES)["power.lead_short"]
    assert finding.about == (Name("key"), Name("fill"))
    assert [(one.code, one["lights"]) for one in finding.acts] == [
        ("bring.lead", names(["key", "fill"]))
    ]


def test_a_lead_that_another_light_has_is_care() -> None:
    sheet = a_sheet(
        TWO, [circuit("K1")], [outlet("P1", "K1")], [{"length_m": 10, "conductor_mm2": 1.5}]
    )
    rows = power(sheet, PLACES).assignment
    assert all(row.volt_drop_pct is not None for row in rows)
    assert [(row.lead_lack, row.spare_m) for row in rows] == [(None, None), ("taken", 0.0)]
    found = judged(sheet, PLACES)
    assert set(found) == {"power.lead_taken"}
    finding = found["power.lead_taken"]
    assert (finding.level, finding.about) == ("care", (Name("fill"),))
    # by hand: (3.213 + 0.3 + 1.4) x 1.1 = 5.40 m
    assert finding.acts[0]["lead"].value == pytest.approx(5.40, abs=0.005)
    assert (finding.acts[0].buys.before, finding.acts[0].buys.after) == (0.0, 10.0)
    # property: with what it asks for in the kit, everything plugs in
    ample = a_sheet(
        TWO, [circuit("K1")], [outlet("P1", "K1")], [{"length_m": 10, "conductor_mm2": 1.5}] * 2
    )
    assert set(judged(ample, PLACES)) == {"power.all_plug_in"}


def test_the_volt_drop_of_a_lead_to_bring_is_worked_out() -> None:
    sheet = a_sheet(
        [KEY], [circuit("K1")], [outlet("P1", "K1")], [{"length_m": 5, "conductor_mm2": 1.5}]
    )
    # By hand: 2 * 7.5132 * 0.0133 * 1.1965 * 1.373 / 230.
    row = power(sheet, {"key": AT_KEY}).assignment[0]
    assert row.volt_drop_pct == pytest.approx(0.1427, abs=0.0005)


@pytest.mark.parametrize(
    ("placements", "cables", "because", "offered"),
    [
        ({}, [{"length_m": 10}], "power.no_place_yet", []),
        ({"key": AT_KEY}, None, "power.no_cables_listed", ["measure.cables"]),
    ],
)
def test_a_light_without_a_place_or_a_list_of_cables_is_never_good(
    placements: dict[str, Placement], cables: Any, because: str, offered: list[str]
) -> None:
    found = judged(a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")], cables), placements)
    assert set(found) == {"power.length_unknown"}
    finding = found["power.length_unknown"]
    assert (finding.level, finding.because.code, acts(finding)) == ("unknown", because, offered)


def test_an_outlet_that_nobody_measured_is_to_be_measured() -> None:
    bare = {"id": "P1", "circuit": "K1", "sockets": 2, "wall": "B"}
    finding = judged(a_sheet([KEY], [circuit("K1")], [bare], []), {"key": AT_KEY})[
        "power.length_unknown"
    ]
    assert finding.rests_on == ("outlets.P1.offset_m", "outlets.P1.height_m")
    assert acts(finding) == ["measure"]


def test_a_long_thin_lead_is_told() -> None:
    # By hand: 2 * 25 * 0.0133 * 1.1965 * 15 / 100 = 11.9 % at 70 degC (1500 W at 100 V).
    sheet = a_sheet(
        [{"id": "key", "watts": 1500, "power_factor": 1}],
        [circuit("K1", 100, 20)],
        [outlet("P1", "K1")],
        [{"length_m": 25, "conductor_mm2": 1.5}],
    )
    found = power(sheet, {"key": AT_KEY})
    assert found.assignment[0].volt_drop_pct == pytest.approx(11.9, abs=0.05)
    finding = judged(sheet, {"key": AT_KEY})["power.voltage_drop"]
    assert finding.level == "problem"
    assert finding.drop.value == pytest.approx(11.9, abs=0.05)
    # By hand: 10 m are enough; of 1.5 mm2 they lose 4.77 %, of 2.5 mm2 7.98 / 13.3 of that, 2.86 %.
    (bring,) = finding.acts
    assert (bring.code, bring["lead"], bring["section"]) == (
        "bring.cable",
        Figure(10.0, "m"),
        Figure(2.5),
    )
    assert (bring.buys.before, bring.buys.after) == (
        pytest.approx(11.9, abs=0.05),
        pytest.approx(2.86, abs=0.01),
    )


@pytest.mark.parametrize(
    ("drop", "level"), [(3.0, None), (3.01, "care"), (5.0, "care"), (5.01, "problem")]
)
def test_levels_of_volt_drop(drop: float, level: str | None) -> None:
    # Source: NEC 210.19 informational note, 3 % for the branch and 5 % in all.
    sheet = a_sheet(
        [KEY], [circuit("K1")], [outlet("P1", "K1")], [{"length_m": 10, "conductor_mm2": 1.5}]
    )
    answer = power(sheet, {"key": AT_KEY})
    rows = (replace(answer.assignment[0], volt_drop_pct=drop),)
    found = findings_of(sheet, replace(answer, assignment=rows), {"key": AT_KEY})
    levels = [one.level for one in found if one.code == "power.voltage_drop"]
    assert levels == ([] if level is None else [level])


@pytest.mark.parametrize(
    ("watts", "code"),
    [
        # By hand: 0.8 x 16 x 230 = 2944 VA, nine tenths of it 2649.6 VA.
        (2649, "power.all_plug_in"),
        (2650, "power.nearly_full"),
        (2944, "power.nearly_full"),
        (2945, "power.left_out"),
    ],
)
def test_levels_of_a_circuits_load(watts: float, code: str) -> None:
    chargers = [{"id": f"C{i}", "watts": watts / 3, "power_factor": 1} for i in range(3)]
    found = judged(a_sheet([], [circuit("K1")], [outlet("P1", "K1")], chargers=chargers))
    assert set(found) == {code}
    assert found[code].level == {"all": "good", "nea": "care", "lef": "problem"}[code[6:9]]


def test_what_hangs_there_already_may_be_too_much() -> None:
    # By hand: 0.8 x 16 x 230 = 2944 W; 3174 W is 1 A over.
    points = [outlet("P1", "K1"), outlet("P2", "K2")]
    for other, over in ((2944, False), (3174, True)):
        rooms = [circuit("K1"), circuit("K2", other=other)]
        found = judged(a_sheet(lights(100), rooms, points))
        assert ("power.overload" in found) is over
    finding = found["power.overload"]
    assert (finding.level, finding.about) == ("problem", (Name("K2"),))
    (free,) = finding.acts
    assert free["watts"].value == pytest.approx(230)
    assert (free.buys.before, free.buys.after) == (pytest.approx(13.8), pytest.approx(12.8))


def test_doors_on_the_way() -> None:
    doors = [{"id": "D1", "wall": "B", "offset_m": 2.0, "width_m": 0.9, "height_m": 2.0}]
    found = power(
        a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")], doors=doors), {"key": AT_KEY}
    )
    # By hand: the straight way cuts the floor before the door, 0.9 m square; past its corner at
    # (4.1, 4.5) it is 1.664 + 2.477 m, 0.3 and 2.425 up, x 1.1 = 7.55 m.
    row = found.assignment[0]
    assert (row.doors, row.crosses) == ((), ())
    assert row.path_m[1] == pytest.approx((4.1, 4.5))
    assert row.cable_m == pytest.approx(7.55, abs=0.005)
    # by hand: an outlet within the door's width has no way that does not cross its floor
    sheet = a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1", offset=2.4)], doors=doors)
    across = power(sheet, {"key": AT_KEY})
    assert across.assignment[0].doors == ("D1",)
    trip: Any
    (trip,) = (
        one for one in findings_of(sheet, across, {"key": AT_KEY}) if one.code == "power.trip"
    )
    assert (trip.level, trip.about) == ("care", (Name("key"),))
    assert trip.crosses.items == (said("power.crosses.door", door=Name("D1")),)


EXIT = {"id": "D1", "wall": "B", "offset_m": 2.0, "width_m": 0.9, "keep_free": True}
BY_EXIT = outlet("P1", "K1", offset=2.4)  # within its width


def test_a_lead_goes_round_an_exit() -> None:
    # By hand, as above: 7.55 m.
    plug = [outlet("P1", "K1")]
    sheet = a_sheet([KEY], [circuit("K1")], plug, [{"length_m": 30}], doors=[EXIT])
    row = power(sheet, {"key": AT_KEY}).assignment[0]
    assert (row.doors, row.exits, row.lead_m) == ((), (), 30.0)
    sheet = a_sheet([KEY], [circuit("K1")], plug, [{"length_m": 5}], doors=[EXIT])
    row = power(sheet, {"key": AT_KEY}).assignment[0]
    assert (row.lead_m, row.lead_lack) == (None, "short")
    # common practice: extension cables are sold in 5, 10, 20, 25 and 50 m
    words_of_it = re.sub(r"\s", " ", str(row.cable_words))
    assert words_of_it == "7.55 m with rise and slack, bring 10 m, taped over the floor"
    assert "power.lead_crosses_exit" not in judged(sheet, {"key": AT_KEY})


def test_a_lead_that_must_cross_an_exit_is_a_problem() -> None:
    sheet = a_sheet([KEY], [circuit("K1")], [BY_EXIT], [{"length_m": 30}], doors=[EXIT])
    finding = judged(sheet, {"key": AT_KEY})["power.lead_crosses_exit"]
    assert (finding.level, finding.exits) == ("problem", names(["D1"]))
    assert acts(finding) == ["bring.battery"]
    assert (finding.acts[0].buys.before, finding.acts[0].buys.after) == (1, 0)


def test_no_tape_and_no_longer_lead_across_an_exit() -> None:
    # property: what crosses an exit is neither taped nor made longer, as there it may not lie
    sheet = a_sheet([KEY], [circuit("K1")], [BY_EXIT], [{"length_m": 2}], doors=[EXIT])
    found = judged(sheet, {"key": AT_KEY})
    assert acts(found["power.lead_crosses_exit"]) == ["bring.battery"]
    assert acts(found["power.lead_short"]) == []
    assert "power.trip" not in found


def test_beyond_the_longest_lead_that_is_sold_batteries() -> None:
    # common practice: leads are sold up to 50 m; by hand: round this hall the key is 50 m away and more
    hall = {"width_m": 40.0, "length_m": 50.0}
    at = Placement("key", (1.0, 1.0, 2.4), (2.5, 30.0, 1.2), "planned")
    sheet = a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1", offset=6.0)], [{"length_m": 10}])
    sheet = sheet.model_copy(update={"room": sheet.room.model_copy(update=hall)})
    (battery,) = judged(sheet, {"key": at})["power.lead_short"].acts
    assert (battery.code, battery.buys.before, battery.buys.after) == ("bring.battery", 1, 0)


def test_batteries_for_all_that_would_cross_an_exit_at_the_socket_left_free() -> None:
    # by hand: the one outlet has two sockets and every way from it to the lights crosses an exit: the
    # third light takes the socket that the first leaves, so all three go on batteries
    lights = [KEY | {"id": name} for name in ("key", "fill", "back")]
    points = [BY_EXIT | {"sockets": 2}]
    sheet = a_sheet(lights, [circuit("K1")], points, [{"length_m": 30}] * 3, doors=[EXIT])
    finding = judged(sheet, dict.fromkeys(("key", "fill", "back"), AT_KEY))[
        "power.lead_crosses_exit"
    ]
    (battery,) = finding.acts
    assert set(battery["lights"].items) == set(names(["key", "fill", "back"]).items)
    assert (battery.buys.before, battery.buys.after) == (2, 0)


def test_another_outlet_is_taken_where_that_keeps_an_exit_free() -> None:
    # By hand: to P1 2.56 m and across an exit, to P2 in the corner of wall C 3.57 m and none.
    points = [BY_EXIT, outlet("P2", "K1", wall="C", offset=4.5)]
    sheet = a_sheet([KEY], [circuit("K1")], points, [{"length_m": 30}], doors=[EXIT])
    row = power(sheet, {"key": AT_KEY}).assignment[0]
    assert (row.outlet, row.exits) == ("P2", ())


def test_another_circuit_is_taken_where_that_keeps_an_exit_free() -> None:
    # By hand: as above, but P2's circuit has 2000 W of 2944 on it already: 0.77 with the key, P1's
    # 0.08; the exit counts for more.
    circuits = [circuit("K1"), circuit("K2", other=2000)]
    points = [BY_EXIT, outlet("P2", "K2", wall="C", offset=4.5)]
    sheet = a_sheet([KEY], circuits, points, [{"length_m": 30}], doors=[EXIT])
    row = power(sheet, {"key": AT_KEY}).assignment[0]
    assert (row.outlet, row.exits) == ("P2", ())


def test_a_longer_lead_is_laid_rather_than_one_across_a_door() -> None:
    # By hand: to P1 2.56 m and across door D1, to P2 in the corner of wall C 3.57 m and none.
    # common practice: some metres of lead are less work than a ramp
    door = EXIT | {"keep_free": False}
    points = [BY_EXIT, outlet("P2", "K1", wall="C", offset=4.5)]
    sheet = a_sheet([KEY], [circuit("K1")], points, [{"length_m": 30}], doors=[door])
    row = power(sheet, {"key": AT_KEY}).assignment[0]
    assert (row.outlet, row.doors) == ("P2", ())


def test_a_lead_across_the_walk_or_the_shot_is_told() -> None:
    # By hand: the outlet at (5, 5.9) stands within 0.45 m of a walk along x 4.8, the light at x 3.366
    # within 0.5 m of a camera line along x 3.3; not one at x 2.5.
    base = a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")]).plain()
    walked = read_sheet(
        base
        | {
            "marks": {
                "subject": [3.3, 3.0, 1.2],
                "camera": [3.3, 0.8, 1.4],
                "path": [[4.8, 4.0, 1.5], [4.8, 6.4, 1.5]],
            }
        }
    )
    row = power(walked, {"key": AT_KEY}).assignment[0]
    assert [one.code for one in row.crosses] == ["power.crosses.walk", "power.crosses.shot"]
    clear = read_sheet(
        base
        | {
            "marks": {
                "subject": [2.5, 3.0, 1.2],
                "camera": [2.5, 0.8, 1.4],
                "path": [[1.0, 1.0, 1.5], [1.0, 4.0, 1.5]],
            }
        }
    )
    assert power(clear, {"key": AT_KEY}).assignment[0].crosses == ()


def test_a_light_outside_has_no_run() -> None:
    outside = Placement("key", (2.5, 9.0, 2.0), None, "pinned")
    row = power(a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")]), {"key": outside}).assignment[
        0
    ]
    assert row.cable_m is None
    assert row.unknown is not None
    assert row.unknown["gaps"].items[0].code == "power.light_outside"


def test_the_nearer_outlet_of_a_circuit_is_taken() -> None:
    near, far = outlet("P1", "K1", wall="D", offset=0.5), outlet("P2", "K1", wall="B", offset=3.0)
    assert (
        power(a_sheet([KEY], [circuit("K1")], [near, far]), {"key": AT_KEY}).assignment[0].outlet
        == "P2"
    )


def test_a_thirteen_ampere_plug_on_a_ring() -> None:
    # Source: BS 1363: 13 A a plug, whatever the 32 A of the ring; other everyday plugs at 230 V
    # carry 6 to 20 A.
    found = power(a_sheet(lights(3500), [circuit("K1", 230, 32)], [outlet("P1", "K1")]), {})
    assert found.feasible is True
    asking = found.plugs[0]
    assert (asking.why, asking.least_a, asking.most_a, asking.larger) == ("kind", 6, 20, None)
    assert asking.draws_a == pytest.approx(15.2, abs=0.05)
    # By hand: 6 A at 230 V is 1380 W.
    for watts, count in ((1380, 0), (1381, 1)):
        row = power(a_sheet(lights(watts), [circuit("K1", 230, 32)], [outlet("P1", "K1")]), {})
        assert len(row.plugs) == count


def at(sheet: RoomSheet, **location: Any) -> RoomSheet:
    return read_sheet(sheet.plain() | {"location": location})


LONDON = {"latitude_deg": 51.5, "longitude_deg": -0.1}


def test_where_the_country_is_known_its_plug_is_the_limit() -> None:
    # Source: BS 1363: 13 A a plug; 3500 W at 230 V is 15.2 A, 2.2 A too much, though the ring's
    # breaker is 32 A.
    sheet = at(a_sheet(lights(3500, 500), [circuit("K1", 230, 32)], [outlet("P1", "K1")]), **LONDON)
    found = power(sheet, {})
    assert found.feasible is False
    assert found.countries == ("GB",)
    assert [row.light for row in found.assignment] == ["L1"]
    assert found.unplaced[0].short_a == pytest.approx(3500 / 230 - 13, abs=1e-6)
    finding = judged(sheet)["power.plug_small"]
    assert (finding.level, finding.carries, finding.plug) == (
        "problem",
        Figure(13.0, "A"),
        Name("BS 1363"),
    )
    assert (acts(finding), ors(finding)) == (["swap.light"], ["bring.battery"])
    assert finding.acts[0]["most"] == Figure(2990.0, "VA")  # by hand: 13 x 230
    plug = assumed(found, "power.country_plug")
    assert (plug["country"].items, plug["basis"].code) == ((Name("GB"),), "country.coordinates")


def test_a_plug_loaded_for_hours_is_told() -> None:
    # By hand: 2700 W at 230 V is 11.7 A: under 13, over 0.8 x 13 = 10.4.
    found = power(
        at(a_sheet(lights(2700), [circuit("K1", 230, 32)], [outlet("P1", "K1")]), **LONDON), {}
    )
    assert found.feasible is True
    assert [(one.why, one.most_a) for one in found.plugs] == [("hours", 13)]
    assert found.plugs[0].draws_a == pytest.approx(11.7, abs=0.05)


@pytest.mark.parametrize(
    ("watts", "code"),
    [
        # By hand: 0.8 x 13 A x 230 V = 2392 W; 13 A x 230 V = 2990 W. Source: BS 1363.
        (2392, None),
        (2393, "power.plug_hot"),
        (2990, "power.plug_hot"),
        (2991, "power.plug_small"),
    ],
)
def test_levels_of_a_plug(watts: float, code: str | None) -> None:
    sheet = a_sheet(lights(watts), [circuit("K1", 230, 32)], [outlet("P1", "K1")])
    found = [one for one in judged(at(sheet, **LONDON)) if one.startswith("power.plug")]
    assert found == ([] if code is None else [code])


def test_an_american_light_for_the_larger_outlet() -> None:
    # NEC 210.23(A): 80 % of 20 A is 16 A; NEMA 5-15 carries 15. 1860 W at 120 V is 15.5 A.
    new_york = {"latitude_deg": 40.7, "longitude_deg": -74.0}
    found = power(
        at(a_sheet(lights(1860), [circuit("K1", 120, 20)], [outlet("P1", "K1")]), **new_york), {}
    )
    assert found.feasible is True
    asking = found.plugs[0]
    assert (asking.least_a, asking.most_a, asking.larger) == (15, 16, "NEMA 5-20")
    # The whole breaker may be allowed to the circuit, yet one plugged-in load stays at 80 %: 1500 W
    # is 12.5 A of 15.
    alone = power(
        at(
            a_sheet(
                lights(1500), [circuit("K1", 120, 15)], [outlet("P1", "K1")], continuous_share=1.0
            ),
            **new_york,
        ),
        {},
    )
    assert alone.feasible is False
    assert (
        power(
            a_sheet(
                lights(1500), [circuit("K1", 120, 15)], [outlet("P1", "K1")], continuous_share=1.0
            ),
            {},
        ).feasible
        is True
    )  # no country, no such rule


def test_the_usual_volts_are_offered_and_not_taken() -> None:
    found = power(
        at(a_sheet(lights(600), [circuit("K1", None, None)], [outlet("P1", "K1")]), **LONDON), {}
    )
    assert found.feasible is None
    assert found.circuits[0].load_a is None
    usual = [one for one in found.assumed if one.code == "power.usual_there"]
    assert [one["usual"].items for one in usual] == [
        (Figure(230.0, "V"),),
        (Figure(32.0, "A"), Figure(20.0, "A"), Figure(16.0, "A")),
    ]
    assert all(one["circuits"] == names(["K1"]) for one in usual)
    drawn = assumed(found, "power.at_usual_volts")["drawn"].items
    assert drawn[0].value == pytest.approx(600 / 230)  # by hand


def test_a_zone_of_many_countries_says_so() -> None:
    found = power(
        at(
            a_sheet(lights(3400), [circuit("K1", 230, 32)], [outlet("P1", "K1")]),
            timezone="Europe/Berlin",
        ),
        {},
    )
    # CEE 7 carries 16 A, the Danish plug 13 A: 14.8 A may go in, and the doubt is said.
    assert found.feasible is True
    plug = assumed(found, "power.country_plug")
    assert {Name("DE"), Name("DK")} <= set(plug["country"].items)
    assert (plug["amperes"], plug["basis"].code) == (Figure(16.0, "A"), "country.zone")
    assert [(one.least_a, one.most_a) for one in found.plugs] == [(13, 16)]


def test_battery_lights_draw_nothing_and_chargers_draw() -> None:
    kit = [
        {"id": "key", "watts": 5000, "supply": "battery"},
        {"id": "fill", "watts": 230, "power_factor": 1, "supply": "mains"},
    ]
    found = power(
        a_sheet(
            kit, [circuit("K1")], [outlet("P1", "K1")], chargers=[{"id": "batteries", "watts": 138}]
        ),
        {},
    )
    assert found.feasible is True
    assert found.on_battery == ("key",)
    assert [(row.light, row.kind) for row in found.assignment] == [
        ("fill", "light"),
        ("batteries", "charger"),
    ]
    # By hand: 230 W at 230 V is 1 A; 138 W at a power factor of 0.6 (electronic, not given) is 230
    # VA: 1 A.
    assert found.circuits[0].load_a == pytest.approx(2.0)
    assert assumed(found, "power.on_battery")["lights"] == names(["key"])
    assert assumed(found, "power.factor_electronic")["lights"] == names(["batteries"])
    assert "power.on_mains" not in codes(found)
    unsaid = power(a_sheet(lights(100), [circuit("K1")], [outlet("P1", "K1")]), {})
    assert "power.on_mains" in codes(unsaid)


def test_all_that_plugs_in_is_counted() -> None:
    cables = [{"length_m": 10, "conductor_mm2": 1.5}]
    charging = {"chargers": [{"id": "batteries", "watts": 138}]}
    sheet = a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")], cables, **charging)
    finding = judged(sheet, {"key": AT_KEY})["power.all_plug_in"]
    assert (finding.lights.value, finding.chargers.value) == (1, 1)
    # By hand: 300 / 0.95 + 138 / 0.6 = 545.8 VA: 2.37 A of 12.8 A.
    assert finding.load.value == pytest.approx(2.373, abs=0.001)
    assert (finding.circuit, finding.limit.value) == (Name("K1"), pytest.approx(12.8))
    assert finding.share.value == pytest.approx(18.5, abs=0.05)
    alone = judged(a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")], cables), {"key": AT_KEY})[
        "power.all_plug_in"
    ]
    assert alone.chargers is None


def test_all_on_batteries_needs_no_outlet() -> None:
    sheet = a_sheet([{"id": "key", "watts": 60, "supply": "battery"}], None, None)
    assert power(sheet, {}).feasible is True
    found = judged(sheet)
    assert set(found) == {"power.off_mains"}
    assert found["power.off_mains"].about == (Name("key"),)
    charger = power(
        a_sheet(
            None,
            [circuit("K1", 230, 16)],
            [outlet("P1", "K1")],
            chargers=[{"id": "c", "watts": None}],
        ),
        {},
    )
    assert charger.feasible is None
    assert charger.unknown == unmeasured("kit.chargers.c.watts")


@pytest.mark.parametrize("watts", [0, 50_000])
def test_lights_of_nothing_and_of_fifty_kilowatts(watts: float) -> None:
    found = power(at(a_sheet(lights(watts), [circuit("K1")], [outlet("P1", "K1")]), **LONDON), {})
    as_json(found)
    assert found.feasible is (watts == 0)


def test_nothing_recorded() -> None:
    bare = read_sheet({"schema": "room-sheet/1", "room": {}})
    found = power(bare, {})
    assert found.feasible is None
    assert found.unknown == unmeasured("kit.lights")
    assert judged(bare)["power.unknown"].level == "unknown"
    no_outlet = power(a_sheet(lights(100), [circuit("K1")], None), {})
    assert (no_outlet.feasible, no_outlet.unknown) == (None, unmeasured("room.outlets"))
    nothing = a_sheet([], [circuit("K1")], [outlet("P1", "K1")])
    assert power(nothing, {}).feasible is True
    assert judged(nothing) == {}  # nothing to plug in is no finding


@pytest.mark.parametrize(
    ("outlets", "setting", "code", "level"),
    [
        ([], "interior", "power.no_mains", "problem"),
        ([], "exterior", "power.no_mains", "problem"),
        (None, "exterior", "power.no_mains", "care"),
        (None, "interior", "power.unknown", "unknown"),
    ],
)
def test_no_mains(outlets: Any, setting: str, code: str, level: str) -> None:
    sheet = a_sheet(lights(100, 200), [], outlets).plain()
    found = judged(read_sheet(sheet | {"room": sheet["room"] | {"setting": setting}}))
    assert {one: finding.level for one, finding in found.items()} == {code: level}
    if code == "power.no_mains":
        assert found[code].about == (Name("L0"), Name("L1"))
        assert acts(found[code]) == ["bring.battery"]
        assert (found[code].acts[0].buys.before, found[code].acts[0].buys.after) == (2, 0)


def test_the_share_of_the_kit_is_used() -> None:
    found = power(
        a_sheet(lights(100), [circuit("K1")], [outlet("P1", "K1")], continuous_share=1.0), {}
    )
    assert found.circuits[0].limit_a == pytest.approx(16)
    assert "power.share" not in codes(found)


def test_cautions_and_json() -> None:
    assert {one.code.rpartition(".")[2] for one in CAUTIONS} == {
        "electrician",
        "earth",
        "reels",
        "water",
        "surge",
        "exits",
    }
    found: PowerAnswer = power(
        a_sheet([KEY], [circuit("K1")], [outlet("P1", "K1")]), {"key": AT_KEY}
    )
    assert set(as_json(found)) >= {"feasible", "circuits", "assignment", "unplaced", "assumed"}


maybe = st.sampled_from


@settings(max_examples=80, deadline=None)
@given(
    st.lists(
        st.tuples(maybe([None, 0, 60, 300, 650, 1000, 2000]), maybe([None, 0.6, 0.95, 1.0])),
        max_size=6,
    ),
    st.lists(
        st.tuples(
            maybe([None, 120, 230]),
            maybe([None, 10, 16, 20]),
            maybe([None, 0, 150, 3000]),
            maybe([None, True, False]),
        ),
        max_size=3,
    ),
    st.lists(
        st.tuples(maybe([None, 0, 1, 2]), maybe([None, 1, 2]), maybe([None, 0.6, 4.0])), max_size=4
    ),
    maybe([None, [], [{"length_m": 10, "conductor_mm2": 1.5}, {"length_m": 5}]]),
)
def test_whatever_is_missing_the_answer_holds(
    lamps: list[Any], rooms: list[Any], points: list[Any], cables: list[Any] | None
) -> None:
    """property: what is promised is kept, and what is not known is said."""
    sheet = a_sheet(
        [
            {"id": f"L{i}", "watts": w, "power_factor": factor}
            for i, (w, factor) in enumerate(lamps)
        ],
        [circuit(f"K{i}", *facts) for i, facts in enumerate(rooms)],
        [
            {
                "id": f"P{i}",
                "wall": "B",
                "offset_m": at,
                "height_m": 0.3,
                "sockets": sockets,
                "circuit": f"K{on}" if on is not None and on < len(rooms) else None,
            }
            for i, (on, sockets, at) in enumerate(points)
        ],
        cables,
    )
    found = power(
        sheet, {f"L{i}": Placement(f"L{i}", (2.0, 2.0, 2.0), None, "planned") for i in range(3)}
    )
    as_json(found)  # raises for a number that is not finite
    placed = {f"L{i}": Placement(f"L{i}", (2.0, 2.0, 2.0), None, "planned") for i in range(3)}
    come_to = findings_of(sheet, found, placed)
    assert come_to or not lamps
    for one in come_to:  # property: no act is offered that buys nothing
        assert all(act.buys is None or act.buys.before != act.buys.after for act in one.acts)
    if any(one.code == "power.all_plug_in" for one in come_to):
        assert all(row.kind == "charger" or row.lead_lack is None for row in found.assignment)
        assert all(row.cable_m is not None for row in found.assignment)
    assert {row.light for row in found.assignment} | {row.light for row in found.unplaced} == {
        f"L{i}" for i in range(len(lamps))
    }
    for i, (_, sockets, _) in enumerate(points):
        assert sum(row.outlet == f"P{i}" for row in found.assignment) <= (sockets or 1)
    loaded = {row.circuit for row in found.assignment}
    for row in found.circuits:
        assert (row.share is None) == (row.unknown is not None)
        if row.id in loaded and row.share is not None and row.lights_a:
            assert row.share <= 1 + 1e-9
    if found.feasible is True:
        assert not found.unplaced
        assert all(row.share is not None for row in found.circuits if row.id in loaded)
    if found.feasible is None:
        assert found.unknown
    for line in found.assignment:
        assert (line.volt_drop_pct is None) <= (line.unknown is not None)


def test_a_splitter_comes_with_the_leads_that_it_wants() -> None:
    # by hand, as above: the fill needs 5.40 m, and the only lead of the kit goes to the key, so on
    # the splitter's socket a second one of 10 m is wanted; with two leads nothing is
    lead = {"length_m": 10, "conductor_mm2": 1.5}
    for cables, wanted in (([lead], True), ([lead, lead], False), (None, False)):
        sheet = a_sheet(TWO, [circuit("K1")], [outlet("P1", "K1", 1)], cables)
        (split,) = judged(sheet, PLACES)["power.sockets_short"].acts
        assert split.code == "bring.splitter"
        words_of_it = re.sub(r"\s", " ", str(split))
        assert words_of_it == "Bring a fused splitter for circuit K1" + (
            ", and a 10 m cable for fill" if wanted else ""
        )
