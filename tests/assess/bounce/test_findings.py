"""Findings of colour by their codes, levels and figures, each level on both sides of its border."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from types import SimpleNamespace
from typing import Any, Literal

import pytest

from scout.assess.answers import (
    BounceAnswer,
    Change,
    Finding,
    MixedAnswer,
    RemedyAnswer,
    Risk,
    SurroundAnswer,
    WindowLightAnswer,
    act,
    unmeasured,
)
from scout.assess.bounce.bounce import bounce
from scout.assess.bounce.findings import findings
from scout.assess.bounce.remedies import off, remedies
from scout.assess.bounce.surround import surround
from scout.assess.bounce.worst import DEEP_SHADOW_STOPS, best_of, worst_cast, worst_of
from scout.assess.room import assess_room
from scout.assess.setup import Setup
from scout.calc.bounce.shift import POINTLESS_STOPS
from scout.records.sheet import RoomSheet
from scout.values import Figure, Name, Word, names, said, words
from tests.assess.bounce import test_bounce as worked
from tests.assess.bounce.test_bounce import LED, RED_ROOM, at, sheet

SUMMER = date(2026, 6, 21)
NOON = datetime(2026, 6, 21, 12, tzinfo=UTC)


def read(surfaces: dict[str, Any]) -> dict[str, Any]:
    """The surfaces of a worked room with their greys read as spectra: their doubt is small."""
    return {
        name: {
            "colour": {
                "spectrum": {
                    "first_nm": 380,
                    "step_nm": 10,
                    "values": [surface["light_reflectance"]] * 41,
                }
            }
        }
        if "light_reflectance" in surface
        else surface
        for name, surface in surfaces.items()
    }


GREY_ROOM, GREEN_WALL = read(worked.GREY_ROOM), read(worked.GREEN_WALL)
GREY = sheet(GREY_ROOM)


def judged(given: RoomSheet = GREY, **blocks: Any) -> tuple[Finding, ...]:
    """What is found where these blocks of an answer stand, and nothing besides."""
    usual: dict[str, Any] = {
        "bounce": (),
        "surround": (),
        "remedies": None,
        "mixed": None,
        "mixed_clear": None,
        "window_surround": None,
    }
    found: Any = SimpleNamespace(**{**usual, **blocks})
    return findings(Setup(given, SUMMER), found)


def one(given: RoomSheet = GREY, **blocks: Any) -> Any:
    (finding,) = judged(given, **blocks)
    return finding


def face(
    side: Literal["key", "shadow"],
    risk: Risk | None,
    cast: float | None,
    light: str = "key",
    **facts: Any,
) -> SurroundAnswer:
    usual: dict[str, Any] = {"tint": Word("tint", "green"), "worst_surface": "D"}
    return SurroundAnswer(light=light, side=side, risk=risk, delta_e=cast, **{**usual, **facts})


def bounced(
    surface: str, risk: Risk | None, cast: float, loss: float, light: str = "key", **facts: Any
) -> BounceAnswer:
    usual: dict[str, Any] = {"tint": Word("tint", "red")}
    return BounceAnswer(
        light=light,
        surface=surface,
        risk=risk,
        delta_e=cast,
        loss_stops=loss,
        **{**usual, **facts},
    )


# -- spill


@pytest.mark.parametrize(
    ("side", "risk", "under", "code", "level"),
    [
        ("key", "none", None, "colour.spill_clean", "good"),
        ("key", "low", None, "colour.spill_clean", "good"),
        ("key", "medium", None, "colour.spill_lit", "care"),
        ("key", "high", None, "colour.spill_lit", "problem"),
        ("shadow", "low", 1.0, "colour.spill_clean", "good"),
        ("shadow", "medium", 1.0, "colour.spill_shadow", "care"),
        ("shadow", "high", 3.99, "colour.spill_shadow", "problem"),
        ("shadow", "high", 4.0, "colour.spill_shadow", "care"),  # the border lies with the deep
        ("shadow", "high", None, "colour.spill_shadow", "problem"),
    ],
)
def test_the_level_of_spill(
    side: Any, risk: Risk, under: float | None, code: str, level: str
) -> None:
    finding = one(surround=(face(side, risk, 6.0, contrast_stops=under),))
    assert (finding.code, finding.level) == (code, level)
    assert DEEP_SHADOW_STOPS == 4.0  # common practice
    assert finding.about == (Name("key"),)


def test_spill_carries_its_figures_and_the_field_that_changes_it() -> None:
    finding = one(
        surround=(face("shadow", "high", 8.0, delta_e_range=(6.5, 9.5), contrast_stops=2.5),)
    )
    assert finding.surfaces == words("surface", ["D"])
    assert finding.tint == Word("tint", "green")
    assert finding.cast == Figure(8.0, "delta_e", 6.5, 9.5)
    assert finding.contrast == Figure(2.5, "stops", 2.5, 2.5)
    assert finding.rests_on == ("room.surfaces.D.colour",)
    nobody = one(surround=(face("key", "high", 8.0, worst_surface=None),))
    assert (nobody.surfaces, nobody.rests_on) == (None, ())


def test_lights_that_the_same_surface_colours_are_one_finding() -> None:
    rows = (
        face("shadow", "high", 8.0, "key", contrast_stops=2.0),
        face("shadow", "high", 11.0, "fill", contrast_stops=3.0, tint=Word("tint", "yellow")),
        face("shadow", "high", 9.0, "back", worst_surface="B"),
        face("shadow", "medium", 4.0, "pocket"),
        face("key", "none", 0.5, "key"),
        face("key", "low", 1.5, "tube"),
        face("shadow", "none", 0.2, "tube"),
    )
    found = judged(surround=rows)
    assert [(f.code, f.level, f.about) for f in found] == [
        ("colour.spill_shadow", "problem", (Name("key"), Name("fill"), Name("pocket"))),
        ("colour.spill_shadow", "problem", (Name("back"),)),
        ("colour.spill_clean", "good", (Name("tube"),)),
    ]
    both: Any = found[0]
    # property: the worst is the figure, the range holds all of them
    assert both.cast == Figure(11.0, "delta_e", 4.0, 11.0)
    assert both.contrast == Figure(3.0, "stops", 2.0, 3.0)
    assert both.tint is None  # green and yellow
    clean: Any = found[-1]
    assert clean.cast == Figure(1.5, "delta_e", 0.2, 1.5)


def test_what_is_no_problem_is_one_finding_a_side() -> None:
    rows = (
        face("shadow", "medium", 3.0, "key"),
        face("shadow", "high", 9.0, "fill", worst_surface="B", contrast_stops=5.0),
        face("key", "medium", 2.6, "back", worst_surface="B"),
    )
    lit: Any
    shadow: Any
    shadow, lit = judged(surround=rows)
    assert (shadow.code, shadow.level) == ("colour.spill_shadow", "care")
    assert shadow.surfaces == words("surface", ["D", "B"])
    assert shadow.rests_on == ("room.surfaces.D.colour", "room.surfaces.B.colour")
    assert shadow.about == (Name("key"), Name("fill"))
    assert (lit.code, lit.level, lit.about) == ("colour.spill_lit", "care", (Name("back"),))


# -- the doubt of a clean cast

LOOSE = {**GREY_ROOM, "A": {"light_reflectance": 0.6}, "floor": {"light_reflectance": 0.3}}


@pytest.mark.parametrize(
    ("most", "code", "level"),
    [
        ("low", "colour.spill_clean", "good"),
        ("medium", "colour.unknown", "unknown"),
        ("high", "colour.unknown", "unknown"),
    ],
)
def test_a_clean_cast_that_may_show_is_not_good(most: Risk, code: str, level: str) -> None:
    rows = (
        face("key", "none", 0.0, risk_range=("none", "low"), delta_e_range=(0.0, 1.2)),
        face("shadow", "none", 0.1, risk_range=("none", most), delta_e_range=(0.0, 8.8)),
    )
    finding = one(sheet(LOOSE), surround=rows)
    assert (finding.code, finding.level) == (code, level)
    assert finding.cast == Figure(0.1, "delta_e", 0.0, 8.8)
    if level == "unknown":
        surfaces = words("surface", ["A", "floor"])  # those known by lightness alone
        assert finding.because == said("bounce.colours_loose", surfaces=surfaces)
        assert finding.rests_on == ("room.surfaces.A.colour", "room.surfaces.floor.colour")
        (deed,) = finding.acts
        facts = said("bounce.facts_of", facts=words("fact", ["colour"]), lights=surfaces)
        assert (deed.code, list(deed["facts"])) == ("measure", [facts])
    # a cast that shows stays what it is
    bad = face("shadow", "medium", 3.0, risk_range=("low", "high"), delta_e_range=(1.0, 5.0))
    assert one(sheet(LOOSE), surround=(rows[0], bad)).level == "care"
    # all well known: then every surface is asked for
    if level == "unknown":
        assert len(one(surround=rows).rests_on) == 6


def test_spill_bounce_and_daylight_in_doubt_are_one_finding() -> None:
    span: dict[str, Any] = {"risk_range": ("none", "medium")}
    rows = (face("shadow", "none", 0.2, "fill", delta_e_range=(0.0, 3.0), **span),)
    bounces = (bounced("A", "low", 1.0, 2.0, delta_e_range=(0.1, 4.0), **span),)
    daylight = (
        replace(daylit("key", "low", 1.9), risk_range=("low", "low"), delta_e_range=(1.8, 2.0)),
        replace(daylit("shadow", "none", 0.3), delta_e_range=(0.0, 2.6), **span),
    )
    finding = one(surround=rows, bounce=bounces, window_surround=daylight)
    assert finding.about == (Name("fill"), Name("key"), said("bounce.of_daylight"))
    assert finding.cast == Figure(1.0, "delta_e", 0.0, 4.0)
    assert [f.code for f in judged(window_surround=daylight[:1])] == ["colour.window_clean"]
    # of a light that is coloured anyway nothing more is said
    codes = [f.code for f in judged(surround=(face("key", "high", 8.0),), bounce=bounces)]
    assert codes == ["colour.spill_lit"]


def test_without_the_doubt_worked_out_lightness_alone_is_not_good() -> None:
    rows = (face("key", "none", 0.0), face("shadow", "none", 0.1))
    assert one(surround=rows).level == "good"
    finding = one(sheet(LOOSE), surround=rows)
    assert (finding.level, finding.cast) == ("unknown", None)
    assert one(sheet(LOOSE), bounce=(bounced("A", "low", 1.0, 2.0),)).code == "colour.unknown"


def test_a_key_side_bad_and_a_shadow_side_clean_is_not_clean() -> None:
    rows = (face("key", "high", 8.0), face("shadow", "none", 0.3))
    assert [f.code for f in judged(surround=rows)] == ["colour.spill_lit"]


# -- what is not measured


def missing(side: Any, risks: tuple[Risk, Risk], **facts: Any) -> SurroundAnswer:
    return SurroundAnswer(
        light="key",
        side=side,
        unknown=unmeasured("surfaces.B.colour"),
        risk_range=risks,
        delta_e_range=(7.0, 12.0),
        **facts,
    )


@pytest.mark.parametrize(
    ("row", "code", "level"),
    [
        (missing("key", ("high", "high")), "colour.spill_lit", "problem"),
        (missing("key", ("medium", "high")), "colour.unknown", "unknown"),
        (missing("key", ("none", "high")), "colour.unknown", "unknown"),
        (
            missing("shadow", ("high", "high"), contrast_stops_range=(2.0, 3.9)),
            "colour.spill_shadow",
            "problem",
        ),
        (
            missing("shadow", ("high", "high"), contrast_stops_range=(4.0, 5.0)),
            "colour.spill_shadow",
            "care",
        ),
        (
            missing("shadow", ("high", "high"), contrast_stops_range=(3.9, 4.0)),
            "colour.unknown",
            "unknown",
        ),
    ],
)
def test_both_ends_of_one_level_are_that_level(row: SurroundAnswer, code: str, level: str) -> None:
    finding = one(surround=(row,))
    assert (finding.code, finding.level) == (code, level)
    (deed,) = finding.acts
    assert (deed.code, deed.buys) == ("measure", None)
    assert list(deed["facts"]) == [Word("fact", "surfaces.B.colour")]
    if code != "colour.unknown":
        assert finding.cast == Figure(12.0, "delta_e", 7.0, 12.0)
        assert finding.tint is None
    else:
        assert finding.rests_on == ("room.surfaces.B.colour",)


def test_what_is_unknown_of_a_light_asks_for_its_facts() -> None:
    given = sheet(GREY_ROOM, lights=[LED, {**LED, "id": "Tube 1.2 m", "beam_deg": None}])
    lights = at((1.2, 1.5, 1.2)) | at((2.0, 1.5, 1.2), light="Tube 1.2 m")
    found = judged(given, surround=surround(given, lights), bounce=bounce(given, lights))
    (unknown,) = [f for f in found if f.code == "colour.unknown"]
    assert unknown.about == (Name("Tube 1.2 m"),)
    assert unknown.rests_on == ("kit.lights[1].beam_deg",)
    (deed,) = unknown.acts
    assert list(deed["facts"]) == [
        said("bounce.facts_of", facts=words("fact", ["beam_deg"]), lights=names(["Tube 1.2 m"]))
    ]
    # that a light has nowhere to stand is told by space.light_no_place
    given = sheet(GREY_ROOM)
    assert judged(given, surround=surround(given, {}), bounce=bounce(given, {})) == ()
    outside = at((9.0, 1.5, 1.2))
    (stands,) = judged(given, surround=surround(given, outside), bounce=bounce(given, outside))
    assert (stands.rests_on, stands.acts) == (("kit.lights[0].at_m",), ())  # no measuring


def test_a_room_without_a_subject_asks_for_the_mark() -> None:
    given = sheet(GREY_ROOM, marks={})
    rows = surround(given, at((1.2, 1.5, 1.2)))
    finding = one(given, surround=rows, bounce=bounce(given, at((1.2, 1.5, 1.2))))
    assert finding.rests_on == ("marks.subject",)
    assert list(finding.acts[0]["facts"]) == [Word("fact", "marks.subject")]


def test_outdoors_and_without_lights_nothing_is_found() -> None:
    out = sheet(GREY_ROOM, setting="exterior")
    assert judged(out, surround=surround(out, at((1.2, 1.5, 1.2)))) == ()
    assert [f for f in assess_room(out, SUMMER).findings if f.topic == "colour"] == []
    assert judged() == ()


# -- bounces


@pytest.mark.parametrize(
    ("risk", "loss", "code", "level"),
    [
        ("none", 3.0, "colour.bounce_best", "good"),
        ("low", POINTLESS_STOPS, "colour.bounce_best", "good"),
        ("low", POINTLESS_STOPS + 0.01, "colour.bounce_poor", "care"),
        ("medium", 3.0, "colour.bounce_best", "care"),
        ("high", 3.0, "colour.bounce_poor", "care"),
    ],
)
def test_the_level_of_a_bounce(risk: Risk, loss: float, code: str, level: str) -> None:
    assert POINTLESS_STOPS == 5.0  # common practice
    finding = one(bounce=(bounced("ceiling", risk, 2.0, loss),))
    assert (finding.code, finding.level) == (code, level)
    ceiling = Word("surface", "ceiling")
    assert ceiling in getattr(finding, "surfaces", ()) or finding.surface == ceiling
    assert finding.loss == Figure(loss, "stops", loss, loss)
    assert finding.cast == Figure(2.0, "delta_e", 2.0, 2.0)
    assert finding.tint == (None if risk == "none" else Word("tint", "red"))


@pytest.mark.parametrize(("share", "flagged"), [(0.10, False), (0.11, True), (0.95, True)])
def test_a_bounce_that_spills_is_flagged_off_the_face(share: float, flagged: bool) -> None:
    # common practice: a tenth of the light straight from the lamp shows as an edge
    row = replace(bounced("ceiling", "none", 0.3, 3.0), spill_share=share)
    finding = one(bounce=(row,))
    assert [one.code for one in finding.acts] == (["flag.lamp"] if flagged else [])
    assert finding.spill == (Figure(100 * share, "%") if flagged else None)
    if flagged:
        (deed,) = finding.acts
        assert (deed["lights"], deed["surface"]) == (names(["key"]), Word("surface", "ceiling"))
        assert deed.buys == Change("bounced_share_pct", "%", 100.0 - 100 * share, 100.0)


def test_the_best_surface_serves_its_lights_and_the_others_are_named() -> None:
    rows = (
        bounced("A", "none", 0.2, 3.5),
        bounced("B", "high", 9.0, 2.0),
        bounced("ceiling", "medium", 3.0, 2.0),
        bounced("floor", "none", 0.1, 1.0),
        bounced("A", "none", 0.6, 2.5, "fill"),
        bounced("B", "low", 1.2, 1.0, "fill"),
    )
    finding = one(bounce=rows)
    assert (finding.code, finding.about) == ("colour.bounce_best", (Name("key"), Name("fill")))
    assert finding.loss == Figure(3.5, "stops", 2.5, 3.5)
    assert list(finding.avoid) == [Word("surface", "B"), Word("surface", "ceiling")]
    assert one(bounce=(rows[0], rows[3])).avoid is None


def test_of_equal_colour_the_floor_comes_last_and_the_lesser_loss_first() -> None:
    # common practice: light from below is the last resort; else colour, then loss
    floor, wall = bounced("floor", "none", 0.1, 1.0), bounced("A", "medium", 3.0, 4.0)
    assert best_of([floor, wall]) is wall
    far = bounced("B", "none", 0.0, 5.1)
    assert best_of([far, floor]) is floor
    assert best_of([wall, bounced("C", "medium", 4.0, 3.9)]).surface == "C"  # type: ignore[union-attr]
    assert best_of([bounced("C", None, 0.0, 1.0)]) is None
    assert best_of([]) is None


@pytest.mark.parametrize(("least", "poor"), [(5.0, False), (5.01, True)])
def test_a_bounce_too_dark_whatever_the_rest_reflects_is_poor(least: float, poor: bool) -> None:
    rows = tuple(
        BounceAnswer(light="key", surface=name, loss_stops_range=(least + step, 9.0))
        for step, name in enumerate(("ceiling", "A"))
    )
    found: Any = judged(bounce=rows)
    assert bool(found) is poor
    if poor:
        assert found[0].code == "colour.bounce_poor"
        assert found[0].surfaces == words("surface", ["ceiling"])
        assert found[0].loss == Figure(9.0, "stops", least, 9.0)
        assert found[0].cast is None
    assert judged(bounce=(*rows, BounceAnswer(light="key", surface="B"))) == ()


def test_lights_without_a_good_surface_are_one_finding() -> None:
    rows = (
        bounced("A", "high", 9.0, 2.0),
        bounced("B", "medium", 3.0, 6.0, "fill", tint=Word("tint", "green")),
    )
    finding = one(bounce=rows)
    assert (finding.code, finding.about) == ("colour.bounce_poor", (Name("key"), Name("fill")))
    assert finding.surfaces == words("surface", ["A", "B"])
    assert (finding.tint, finding.loss) == (None, Figure(6.0, "stops", 2.0, 6.0))


# -- acts


def test_acts_stand_with_the_finding_that_they_change_and_only_where_worked_out() -> None:
    deed = act(
        "hang.white",
        surface=Word("surface", "D"),
        area=Figure(4.0, "m2"),
        along=Figure(1.5, "m", 0.5, 2.5),
        height=Figure(1.0, "m", 0.0, 2.0),
        lights=names(["key"]),
        buys=Change("delta_e", "delta_e", 8.0, 1.0),
    )
    row = RemedyAnswer(
        light="key",
        target=Word("side", "shadow"),
        action=deed,
        delta_e_before=8.0,
        delta_e_after=1.0,
        risk_before="high",
        risk_after="low",
        stops_change=0.3,
    )
    shadow, lit = face("shadow", "high", 8.0), face("key", "high", 6.0)
    found = {f.code: f for f in judged(surround=(shadow, lit), remedies=(row,))}
    assert found["colour.spill_shadow"].acts == (deed,)
    assert found["colour.spill_lit"].acts == ()
    assert all(f.acts == () for f in judged(surround=(shadow, lit)))
    poor = bounced("ceiling", "high", 9.0, 2.0)
    gel = replace(row, target=off("ceiling"))
    assert one(bounce=(poor,), remedies=(gel,)).acts == (deed,)
    assert one(bounce=(poor,), remedies=(replace(row, target=off("A")),)).acts == ()


def test_the_fast_path_offers_nothing_that_was_not_worked_out() -> None:
    plain = assess_room(
        sheet(
            RED_ROOM,
            marks={"subject": [2, 1, 1.2], "camera": [2, 2.8, 1.2]},
            lights=[{**LED, "at_m": [2, 2.5, 1.8], "aim_m": [2, 1, 1.2]}],
        ),
        SUMMER,
    )
    colour = [f for f in plain.findings if f.topic == "colour"]
    assert colour
    assert all(deed.code == "measure" for f in colour for deed in f.acts)


def test_in_full_what_is_offered_was_worked_out_and_helps() -> None:
    given = sheet(
        RED_ROOM,
        marks={"subject": [2, 1, 1.2], "camera": [2, 2.8, 1.2]},
        lights=[{**LED, "at_m": [2, 2.5, 1.8], "aim_m": [2, 1, 1.2]}],
    )
    full = assess_room(given, SUMMER, in_full=True)
    acts = [deed for f in full.findings if f.topic == "colour" for deed in f.acts]
    assert acts
    assert {deed.code for deed in acts} <= {row.action.code for row in full.remedies or ()}
    for deed in acts:
        assert deed.buys is not None
        assert deed.buys.after < deed.buys.before
    assert remedies(given, full.placements, full.bounce, full.surround) == full.remedies


# -- the worst


def test_the_worst_cast_is_the_worst_by_its_figure() -> None:
    # by hand: 13.2 is more than 6.0, which stands first in its class
    rows = (
        face("shadow", "high", 6.0),
        face("shadow", "high", 13.2, "fill"),
        face("key", "medium", 4.9),
        face("key", None, None, "back"),
    )
    found: Any = SimpleNamespace(surround=rows)
    assert worst_cast(found) is rows[1]
    assert worst_of(reversed(rows)) is rows[1]
    # property: a class outranks a figure, for the class is by the worst of three figures
    turned = (face("key", "medium", 2.4), face("shadow", "high", 2.3))
    assert worst_of(turned) is turned[1]
    assert worst_of(rows[3:]) is None
    assert worst_cast(SimpleNamespace(surround=())) is None  # type: ignore[arg-type]


# -- daylight and mixed light


def daylit(
    side: Literal["key", "shadow"],
    risk: Risk,
    cast: float,
    hour: int = 12,
    sky: Literal["overcast", "clear"] = "clear",
    under: float | None = 2.0,
) -> WindowLightAnswer:
    return WindowLightAnswer(
        sky=sky,
        at=NOON.replace(hour=hour),
        side=side,
        risk=risk,
        delta_e=cast,
        tint=Word("tint", "green"),
        worst_surface="B",
        contrast_stops=under if side == "shadow" else None,
    )


@pytest.mark.parametrize(
    ("rows", "code", "level"),
    [
        ([daylit("key", "none", 0.5), daylit("shadow", "low", 1.5)], "window_clean", "good"),
        ([daylit("key", "low", 1.5), daylit("shadow", "medium", 3.0)], "window_cast", "care"),
        ([daylit("key", "none", 0.5), daylit("shadow", "high", 8.4)], "window_cast", "problem"),
        ([daylit("shadow", "high", 8.4, under=3.9)], "window_cast", "problem"),
        ([daylit("shadow", "high", 8.4, under=4.0)], "window_cast", "care"),
        ([daylit("key", "high", 8.4), daylit("shadow", "none", 0.1)], "window_cast", "problem"),
        ([daylit("key", "medium", 2.6), daylit("shadow", "none", 0.1)], "window_cast", "care"),
    ],
)
def test_the_level_of_daylight(rows: list[WindowLightAnswer], code: str, level: str) -> None:
    finding = one(window_surround=tuple(rows))
    assert (finding.code, finding.level) == (f"colour.{code}", level)


def test_daylight_is_told_by_its_worst_hour_that_shows() -> None:
    rows = (
        daylit("shadow", "high", 6.0, 9),
        daylit("shadow", "high", 8.4, 13),
        daylit("shadow", "high", 19.0, 15, under=6.0),
        daylit("key", "none", 0.6, 13, "overcast"),
    )
    finding = one(window_surround=rows)
    assert (finding.at.hour, finding.sky, finding.side) == (
        13,
        Word("sky", "clear"),
        Word("side", "shadow"),
    )
    assert finding.cast == Figure(8.4, "delta_e")
    assert finding.surface == Word("surface", "B")
    deep = one(window_surround=(daylit("shadow", "medium", 3.0), rows[2]))
    assert (deep.level, deep.cast.value) == ("care", 19.0)
    assert one(window_surround=(rows[3],)).cast == Figure(0.6, "delta_e")
    # property: a wall to blame goes before sun and sky, which differ by nature
    nature = replace(rows[1], worst_surface=None, delta_e=11.0)
    assert one(window_surround=(rows[0], nature)).cast.value == 6.0
    alone = one(window_surround=(nature,))
    assert (alone.level, alone.surface, alone.rests_on) == ("care", None, ())


@pytest.mark.parametrize(
    ("risk", "level"), [("none", None), ("low", None), ("medium", "care"), ("high", "problem")]
)
def test_the_level_of_mixed_light(risk: Risk, level: str | None) -> None:
    mixed = MixedAnswer(mired_between=-190.0, delta_e_between=7.0, risk=risk)
    found: Any = judged(mixed=mixed)
    assert [f.level for f in found] == ([level] if level else [])
    if level:
        assert (found[0].code, found[0].sky) == ("colour.mixed", None)
        assert (found[0].cast, found[0].apart) == (
            Figure(7.0, "delta_e"),
            Figure(190.0, "mired"),
        )


def test_mixed_light_is_told_under_the_sky_that_parts_it_more() -> None:
    switch = act("practical.off", practical=Name("L1"))
    overcast = MixedAnswer(delta_e_between=3.1, risk="medium", window_cct_k=6500.0)
    clear = MixedAnswer(delta_e_between=7.7, risk="high", window_cct_k=9000.0, acts=(switch,))
    finding = one(mixed=overcast, mixed_clear=clear)
    assert (finding.level, finding.sky, finding.acts) == (
        "problem",
        Word("sky", "clear"),
        (switch,),
    )
    assert one(mixed=overcast).sky == Word("sky", "overcast")
    assert judged(mixed=MixedAnswer(unknown=unmeasured("room.height_m"))) == ()


def test_a_green_wall_is_found_from_a_sheet() -> None:
    given = sheet(GREEN_WALL, marks={"subject": [0.5, 1.5, 1.2], "subject_normal": [1, 0, 0]})
    lights = at((2.5, 1.5, 1.2))
    found = judged(given, surround=surround(given, lights), bounce=bounce(given, lights))
    spill: Any = next(f for f in found if f.code == "colour.spill_shadow")
    assert (spill.level, spill.tint) == ("problem", Word("tint", "green"))
    assert spill.surfaces == words("surface", ["D"])
    assert spill.cast.value == pytest.approx(24, abs=0.55)  # Source: worked room 5a, by patches
    assert "D" in {
        word.key
        for f in found
        if f.code == "colour.bounce_best"
        for word in f.avoid or ()  # type: ignore[attr-defined]
    }
    grey = judged(sheet(GREY_ROOM), surround=surround(GREY, lights), bounce=bounce(GREY, lights))
    assert {f.level for f in grey} == {"good"}
