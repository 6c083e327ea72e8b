"""Remedies are worked out again with them done, and the doubt of the colours is carried to the
verdict.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scout.assess.answers import Change, RemedyAnswer, Risk
from scout.assess.bounce.bounce import bounce
from scout.assess.bounce.doubt import doubted
from scout.assess.bounce.remedies import acts_for, remedies
from scout.assess.bounce.remedies import off as off_surface
from scout.assess.bounce.room import LitRoom, lit_room
from scout.assess.bounce.surround import Aimed, aimed, sides_of, surround
from scout.assess.bounce.worst import helps
from scout.assess.stage.follows import camera_follows
from scout.calc.bounce.shift import RISKS, shifts
from scout.records.sheet import RoomSheet
from scout.values import Figure, Name, Said, Word
from tests.assess.bounce.test_bounce import (
    FLOOR_CEILING,
    GREEN_WALL,
    GREY_ROOM,
    LED,
    RED_ROOM,
    at,
    flat,
    off,
    sheet,
    side,
    spectrum,
)
from tests.calc.bounce.charts import GREEN, RED

GREEN_ROOM = {**GREEN_WALL, "A": flat(0.7)}
SHADOW = Word("side", "shadow")
BY_D = {"subject": [0.5, 1.5, 1.2], "subject_normal": [1, 0, 0]}
LIGHT = at((2.5, 1.5, 1.2))


def green() -> RoomSheet:
    return sheet(GREEN_ROOM, marks=BY_D)


def found(
    made: RoomSheet, place: tuple[float, float, float] = (2.5, 1.5, 1.2)
) -> tuple[RemedyAnswer, ...]:
    lights = at(place)
    return remedies(made, lights, bounce(made, lights), surround(made, lights))


def on(rows: tuple[RemedyAnswer, ...], target: Said | Word) -> dict[str, RemedyAnswer]:
    """The rows of one target by the code of their act."""
    return {row.action.code: row for row in rows if row.target == target}


def test_white_over_the_green_wall_cleans_the_fill() -> None:
    cover = on(found(green()), SHADOW)["hang.white"]
    # property: worked out again means the same as a room recorded with that wall white
    white = sheet({**GREEN_ROOM, "D": flat(0.85)}, marks=BY_D)
    there = side(surround(white, LIGHT), "shadow")
    assert cover.action["surface"] == Word("surface", "D")
    assert list(cover.action["lights"]) == [Name("key")]
    assert cover.delta_e_before == pytest.approx(
        24, abs=0.5
    )  # Source: worked room 5a, computed independently by patches
    area_m2 = cover.action["area"].value
    assert 0 < area_m2 <= 3 * 2.5 + 1e-6
    if area_m2 > 3 * 2.5 - 1e-6:
        assert cover.delta_e_after == pytest.approx(there.delta_e, abs=0.05)
    else:
        assert cover.risk_after in ("none", "low")
    assert cover.stops_change > 0
    assert cover.action.buys == Change(
        "delta_e", "delta_e", cover.delta_e_before, cover.delta_e_after
    )


def test_what_white_does_is_worked_out_where_it_hangs() -> None:
    # property: a wall recorded white there, and only there, gives the figure that is told; hung at
    # the other end of a long wall the same cloth leaves a cast
    long = {**dict.fromkeys("ABC", flat(0.70)), "D": spectrum(GREEN), **FLOOR_CEILING}
    made = sheet(long, dims=(4, 9, 2.5), marks={"subject": [0.5, 1.5, 1.2], "camera": [3, 1.5, 1]})
    lights = at((2.5, 1.5, 1.2))
    row = on(remedies(made, lights, bounce(made, lights), surround(made, lights)), SHADOW)[
        "hang.white"
    ]
    cover, deed = row.cover, row.action
    assert cover is not None
    assert deed["area"].value < 0.6 * 9 * 2.5
    assert (deed["along"].low, deed["along"].high) == (cover.from_m, cover.to_m)
    assert (deed["height"].low, deed["height"].high) == (cover.low_m, cover.high_m)
    # by hand: wall D runs from the corner at y = 0 up, so the subject stands 1.5 m along it
    assert cover.from_m <= 1.5 <= cover.to_m
    assert 0 <= cover.low_m < cover.high_m <= 2.5
    lit = lit_room(made)
    assert isinstance(lit, LitRoom)
    there = aimed(made.kit.lights[0], made, lights, lit)  # type: ignore[union-attr,index]
    assert isinstance(there, Aimed)

    def cast(from_m: float) -> float:
        patches = lit.room.patches
        along, height = patches.centre_m[:, 1], patches.centre_m[:, 2]
        under = patches.of("D") & (along > from_m) & (along < from_m + cover.to_m - cover.from_m)
        under &= (height > cover.low_m) & (height < cover.high_m)
        reflectance = lit.reflectance[0].copy()
        reflectance[under] = 0.85
        light = there.lamp.colour.spectrum
        sides = sides_of(there, lit, reflectance)
        return shifts(light, (light * sides.shadow)[None])[0].delta_e

    assert cast(cover.from_m) == pytest.approx(row.delta_e_after, abs=0.01)
    assert cast(9.0 - (cover.to_m - cover.from_m)) > 2 * row.delta_e_after


def test_a_floor_is_laid_and_nobody_moves_off_it() -> None:
    made = sheet({**GREY_ROOM, "floor": spectrum(GREEN)})
    rows = on(found(made, (1.2, 1.5, 1.6)), SHADOW)
    laid = rows["lay.white"].action
    assert laid["surface"] == Word("surface", "floor")
    # common practice: a small crew lays a sheet of 2 by 3 m, or two side by side
    sides = sorted(
        side.value for side in (laid["width"], laid["depth"]) if isinstance(side, Figure)
    )
    assert sides[0] <= 3.0 + 1e-6
    assert sides[1] <= 4.0 + 1e-6
    # property: what is brought is the rectangle that is told, furniture on it or not
    assert laid["area"].value == pytest.approx(sides[0] * sides[1])
    assert not {"hang.white", "move.subject"} & rows.keys()


def test_moving_away_from_the_green_wall() -> None:
    # property: further from the green wall less of what arrives comes from it
    pale = {**GREEN_ROOM, "D": {"colour": {"srgb": "#d3d9cc"}}}
    moved = on(found(sheet(pale, marks=BY_D)), SHADOW)["move.subject"]
    assert moved.delta_e_after < moved.delta_e_before
    assert moved.action["away"].value in (0.5, 1.0, 1.5, 2.0)
    assert moved.action["surface"] == Word("surface", "D")
    assert (moved.risk_before, moved.risk_after) == ("high", "medium")
    # property: off the strong green it stays as green as before: not offered, nor a flag
    assert not {"move.subject", "flag.black"} & on(found(green()), SHADOW).keys()


def test_a_subject_moves_only_as_far_as_the_camera_can_go_with_it() -> None:
    # by hand: 4 m from D to B; tripod and operator take 1.5 m of it behind the lens
    pale = {**GREEN_ROOM, "D": {"colour": {"srgb": "#d3d9cc"}}}

    def made(*camera: float) -> RoomSheet:
        marks = {**BY_D, "camera": list(camera)} if camera else BY_D
        return sheet(pale, marks=marks)

    def moved(*camera: float) -> float | None:
        row = on(found(made(*camera)), SHADOW).get("move.subject")
        return None if row is None else float(row.action["away"].value)

    assert moved() == 1.0
    assert moved(1.4, 1.5, 1.2) == 1.0  # by hand: 4.0 - 1.5 - 1.4 leaves 1.1 m
    assert moved(1.6, 1.5, 1.2) is None  # 0.9 m, and 0.5 m of it are not enough against the green
    assert moved(0.5, 2.4, 1.2) == 1.0  # property: along the wall no floor is lost
    follows = camera_follows(made(1.6, 1.5, 1.2))
    assert [follows((by, 0.0)) for by in (0.0, 0.5, 1.0)] == [True, True, False]
    # by hand: 0.6 m behind the lens the operator stands beside it; 0.1 m is no place at all
    assert not camera_follows(made(3.4, 1.5, 1.2))((0.5, 0.0))


def test_gels_bring_a_warm_ceiling_back() -> None:
    made = sheet(RED_ROOM)
    rows = on(found(made, (2, 1.5, 1.5)), off_surface("ceiling"))
    gel = rows["gel.light"]
    assert gel.delta_e_after < gel.delta_e_before
    assert gel.stops_change < 0
    named = [one.key for one in gel.action["gels"]]
    assert named == ["plus_green_1_8", "ctb_1_8"]
    # property: an act of the rows is the gel that the bounce names
    remedy = off(bounce(made, at((2, 1.5, 1.5))), "ceiling").remedy
    assert remedy is not None
    assert remedy["gels"] == gel.action["gels"]
    # property: balanced to the bounce, grey is right; the figure is what stays on skin
    balance = rows["camera.balance"]
    assert balance.action.buys is not None
    assert balance.action.buys.figure == "delta_e_skin"
    row = off(bounce(made, at((2, 1.5, 1.5))), "ceiling")
    assert balance.delta_e_before == pytest.approx(row.delta_e_skin, abs=1e-6)
    assert balance.delta_e_after == pytest.approx(row.delta_e_skin_balanced, abs=1e-6)


TWO = [LED, {**LED, "id": "fill"}]


def test_one_white_serves_all_the_lights_that_blame_a_wall() -> None:
    # property: the same act for both, each worked out with the same area
    made = sheet(GREEN_ROOM, marks=BY_D, lights=TWO)
    lights = at((2.5, 1.2, 1.2)) | at((2.5, 1.8, 1.2), light="fill")
    rows = remedies(made, lights, bounce(made, lights), surround(made, lights))
    white = [row for row in rows if row.action.code == "hang.white" and row.target == SHADOW]
    assert [row.light for row in white] == ["key", "fill"]
    for row in white:
        assert list(row.action["lights"]) == [Name("key"), Name("fill")]
        assert row.action["area"] == white[0].action["area"]
    (one,) = [act for act in acts_for(rows, ("key", "fill"), SHADOW) if act.code == "hang.white"]
    # property: what it buys is said of the light that it leaves worst
    assert one.buys is not None
    assert one.buys.after == max(row.delta_e_after for row in white)
    assert acts_for(rows, ("back",), SHADOW) == ()
    assert acts_for(rows, ("key", "fill"), Word("side", "key")) == ()


@pytest.mark.parametrize(
    ("before", "after", "doubt", "risks", "offered"),
    # by hand: by more than its doubt and than 0.5; a class lower, or to two thirds in its class
    [
        (21.6, 11.5, 2.0, ("high", "high"), True),
        (13.8, 17.6, 0.0, ("high", "high"), False),
        (4.4, 5.3, 0.0, ("medium", "high"), False),
        (2.65, 2.41, 0.0, ("medium", "low"), False),
        (9.0, 6.0, 2.9, ("high", "high"), True),
        (9.0, 6.0, 3.0, ("high", "high"), False),
        (9.0, 6.1, 0.0, ("high", "high"), False),
        (3.0, 2.5, 0.0, ("medium", "low"), False),
        (3.0, 2.4, 0.0, ("medium", "low"), True),
        (6.0, 2.0, 0.0, ("medium", "high"), False),
    ],
)
def test_what_is_worth_offering(
    before: float, after: float, doubt: float, risks: tuple[Risk, Risk], offered: bool
) -> None:
    assert helps(before, after, doubt, *risks) is offered


@pytest.mark.parametrize(
    "made", [green(), sheet(RED_ROOM), sheet({**GREEN_WALL, "D": spectrum(RED)}, marks=BY_D)]
)
def test_nothing_offered_makes_it_worse_and_the_best_stands_first(made: RoomSheet) -> None:
    # property: over rooms, by the rows alone
    rows = found(made)
    assert rows
    for row in rows:
        assert row.delta_e_after < row.delta_e_before - 0.5
        assert RISKS.index(row.risk_after) <= RISKS.index(row.risk_before)
    for target in {row.target for row in rows}:
        gains = [row.delta_e_after - row.delta_e_before for row in rows if row.target == target]
        assert gains == sorted(gains)
        assert len(gains) <= 3


def test_a_wider_doubt_offers_less() -> None:
    # property: an act that gains less than the doubt of the colours is not offered
    lights = at((2, 1.5, 1.5))
    made = sheet(RED_ROOM)
    rows, sides = bounce(made, lights), surround(made, lights)
    sure = remedies(made, lights, rows, sides)
    unsure = tuple(replace(row, delta_e_range=(0.0, 200.0)) for row in rows)
    vague = remedies(made, lights, unsure, ())
    assert any(row.target == off_surface("ceiling") for row in sure)
    assert vague == ()


def test_nothing_is_offered_where_nothing_is_wrong_or_known() -> None:
    assert found(sheet(GREY_ROOM)) == ()
    assert found(sheet({"A": flat(0.5)})) == ()
    assert found(sheet(RED_ROOM, setting="exterior")) == ()


def test_doubt_is_carried_to_the_verdict() -> None:
    made = sheet(RED_ROOM)
    lights = at((2, 1.5, 1.5))
    rows, _ = doubted(made, lights, bounce(made, lights), surround(made, lights))
    ceiling = off(rows, "ceiling")
    assert ceiling.risk_range is not None
    assert ceiling.doubt is not None
    assert ceiling.doubt["risk"] == Word("risk", ceiling.risk or "")
    might = ceiling.doubt["might"]
    others = [risk for risk in ceiling.risk_range if risk != ceiling.risk]
    assert (might is None) is (not others)
    assert might is None or {word.key for word in might} == set(others)
    low, high = (RISKS.index(risk) for risk in ceiling.risk_range)
    assert low <= RISKS.index(ceiling.risk or "none") <= high
    again, _ = doubted(made, lights, bounce(made, lights), surround(made, lights))
    assert again == rows  # property: the draws are the same every time


def test_lightness_alone_is_doubted_more_than_a_spectrum() -> None:
    # property: a grey known by lightness alone may be a tinted paint; one measured by spectrum may
    # not
    vague = sheet({**dict.fromkeys("ABCD", flat(0.6)), **FLOOR_CEILING})
    grey = " ".join(["0.6"] * 36)
    sure = sheet(dict.fromkeys(["A", "B", "C", "D", "floor", "ceiling"], spectrum(grey)))
    spans = []
    for made in (vague, sure):
        rows, _ = doubted(made, LIGHT, bounce(made, LIGHT), surround(made, LIGHT))
        ranges = [row.risk_range for row in rows if row.risk_range is not None]
        spans.append(np.mean([RISKS.index(high) - RISKS.index(low) for low, high in ranges]))
    assert spans[0] > spans[1]


def test_a_room_with_one_measured_surface_has_no_invented_doubt() -> None:
    made = sheet({"A": spectrum(GREEN)})
    before = bounce(made, LIGHT), surround(made, LIGHT)
    assert doubted(made, LIGHT, *before) == before
    assert all(row.doubt is None for row in (*before[0], *before[1]))
