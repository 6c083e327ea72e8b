"""What is found of the demonstration's and of real rooms does not contradict itself."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from scout.assess.answers import RoomAssessment
from scout.assess.choice.cells import CandidateFacts
from scout.assess.choice.compare import cells_of
from scout.assess.choice.many import NOTHING
from scout.assess.daylight.sun.findings import shut
from scout.assess.fit.levels import told_framing
from scout.assess.room import assess_setup
from scout.assess.setup import Setup
from scout.calc.geometry import distance_to_walls_m, inside
from scout.drawing.plan.sheets import light_sheet, power_sheet, shot_sheet
from scout.packet.crew.sheets import camera_away
from scout.packet.setting.table import Cell
from scout.records import CandidateRecord, LocationRecord, Marks, SceneRecord
from scout.words.figures import length
from tests.demo_rooms import assessed


def planned() -> Iterator[tuple[Setup, RoomAssessment, np.ndarray]]:
    for _, setup, found in assessed():
        if setup.sheet.kit is not None and setup.sheet.room.corners_m is not None:
            yield setup, found, np.asarray(setup.sheet.room.corners_m)


def test_whoever_holds_a_boom_stands_in_the_room() -> None:
    # property: a person takes half a metre of floor (common practice), and is said to have none else
    held = 0
    for _, found, plan in planned():
        boom = found.fit.boom
        codes = {one.code for one in found.findings}
        if boom is None:
            continue
        if boom.end_m is None:
            assert "space.boom_no_floor" in codes
            assert not codes & {"space.boom_clear", "space.boom_shadow"}
            continue
        held += 1
        assert bool(inside(plan, np.array(boom.end_m[:2])))
        assert float(distance_to_walls_m(plan, np.array(boom.end_m[:2]))) >= 0.25 - 1e-6
        # property: nor within the legs of any stand, at the least 0.3 m from its middle
        for one in found.placements.values():
            assert math.dist(one.at_m[:2], boom.end_m[:2]) >= 0.3
    assert held >= 2


def test_a_lead_bends_round_what_is_in_its_way() -> None:
    # property: what is printed is as long as what is drawn with heights and a tenth of slack, in the
    # room, and less than four metres longer than straight in rooms of this size
    bent = 0
    for setup, found, plan in planned():
        sheet = power_sheet(found.sheet, found.power, found.fit, found.placements)
        drawn = {lead.light: lead.points_m for lead in sheet.leads}
        outlets = {one.id: one for one in setup.sheet.room.outlets or ()}
        for row in found.power.assignment:
            if row.cable_m is None or row.straight_m is None:
                continue
            path = np.array(row.path_m)
            long = float(np.sum(np.linalg.norm(np.diff(path, axis=0), axis=1)))
            up = (outlets[row.outlet or ""].height_m or 0.0) + found.placements[row.light].at_m[2]
            assert row.cable_m == pytest.approx(1.1 * (long + up))
            assert drawn[row.light] == row.path_m
            assert bool(np.all(inside(plan, path, edge_m=0.011)))
            assert row.straight_m - 1e-9 <= long < row.straight_m + 4.0
            bent += len(path) > 2
    assert bent >= 3


def test_the_comparison_and_the_room_never_disagree_about_power() -> None:
    # property: green in the comparison is green on the room's page; what no act mends there fails
    # here; nothing is known here that is not known there
    met = 0
    needs = [{"topic": "watts", "watts": 1}, {"topic": "sockets", "sockets": 1}]
    asked = SceneRecord.read({"name": "s", "needs": [{"strength": "must", **n} for n in needs]})
    for name, setup, found in assessed():
        place = setup.place or LocationRecord.read({"name": "House"})
        room, kit = setup.sheet.room, setup.sheet.kit
        facts = CandidateFacts(1, 1, name, CandidateRecord(), place, room, found, kit)
        watts, sockets = cells_of(asked, facts)
        page = [one for one in found.findings if one.topic == "power"]
        if watts.level == "pass":
            assert {one.level for one in page} <= {"good"}
            met += 1
        if any(one.level == "problem" and not one.acts for one in page):
            assert watts.level == "fail"
        if any(one.level == "unknown" for one in page):
            assert watts.level in ("unknown", "fail")
        if any(one.code == "power.sockets_short" for one in page):
            assert sockets.level not in ("pass", "outside")
        # nor does the list of many rooms say more than the plan
        unplanned = replace(facts, assessment=NOTHING)
        assert not {"pass", "outside"} & {one.level for one in cells_of(asked, unplanned)}
    assert met >= 1


def test_a_framing_off_the_mark_says_where_the_camera_goes() -> None:
    # property: the act has the figures of the line
    told = 0
    for _, found, _ in planned():
        for one in found.findings:
            mark = one.figures().get("mark")
            if one.code.startswith("space.framing") and mark is not None:
                (place,) = (act for act in one.acts if act.code == "camera.place")
                assert place["distance"] == one.figures()["distance"]
                assert place["lens"] == one.figures()["lens"]
                told += 1
    assert told >= 1


def test_the_camera_is_drawn_where_the_acts_set_it() -> None:
    # property: one camera on the plan, in the act and on the camera's page; its tapes are off it
    moved = 0
    for setup, found, _ in planned():
        told = told_framing(found.fit, setup.framing, setup.focal_length_mm)
        row = None if told is None else told.row
        lens = None if row is None else row.focal_length_mm
        shot = shot_sheet(
            found.sheet, found.fit, lens, mark_m=(setup.sheet.marks or Marks()).camera
        )
        if shot.camera is None or shot.subject is None:
            continue
        drawn = math.dist(shot.camera, shot.subject)
        page = camera_away(found.fit, shot.subject)
        assert str(page.text if isinstance(page, Cell) else page) == length(drawn)
        assert {tape.place_m for tape in shot.camera_tapes} <= {shot.camera[:2]}
        assert light_sheet(found.sheet, found.fit, found.placements).camera == shot.camera
        acts = [act for one in found.findings for act in one.acts if act.code == "camera.place"]
        assert (shot.left_m is not None) is bool(acts)
        for act in acts:
            assert act["distance"].value == pytest.approx(drawn, abs=1e-6)
            assert act["lens"].value == shot.chosen_mm
        moved += bool(acts)
    assert moved >= 2


def test_no_light_is_brought_where_the_kits_own_has_a_place() -> None:
    for _, found, _ in planned():
        key = found.fit.plan.get("key")
        clamp = next((way for way in found.ways if way.way == "clamp"), None)
        for one in found.findings:
            codes = [act.code for act in one.acts]
            if "bring.light" in codes and key is not None and key.light is not None:
                held = clamp.lux if clamp is not None and clamp.possible else None
                placed = key.lux if key.at_m is not None else held
                assert not placed or codes[0] in ("light.key", "clamp.light")


def test_gels_are_named_by_the_grades_that_are_sold() -> None:
    for _, found, _ in planned():
        for one in found.findings:
            for act in (*one.acts, *one.instead):
                if act.code in ("gel.practical", "key.daylight", "gel.windows", "gel.light"):
                    assert act["gels"].items


def test_what_mends_a_finding_alone_stands_alone() -> None:
    # property: beside an act that leaves nothing of what its finding is measured by stands none but
    # what is measured; the others are what could be done instead
    alone = 0
    for _, _, found in assessed():
        for one in found.findings:
            buying = [act.buys for act in one.acts if act.buys is not None]
            for whole in (buys for buys in buying if buys.after == 0.0):
                assert [buys for buys in buying if buys.figure == whole.figure] == [whole]
                alone += bool(one.instead)
    assert alone >= 2


def test_nobody_is_sent_for_what_shutting_the_sun_out_mends() -> None:
    # property: what has to be brought is still lacking where the sun is shut out as others ask
    judged = 0
    for _, setup, found in assessed():
        closing = [
            name.text
            for one in found.findings
            for act in one.acts
            if act.code == "close.covering"
            for name in act["windows"]
        ]
        if not closing:
            continue
        dark = assess_setup(replace(setup, sheet=shut(setup.sheet, closing)))
        asked = {act.deed for one in dark.findings for act in one.acts}
        for one in found.findings:
            for act in one.acts:
                if act.code == "bring.stronger":
                    assert act.deed in asked
            for act in one.instead:
                if act.code == "bring.stronger":
                    assert act.deed not in asked
                    judged += 1
    assert judged >= 1
