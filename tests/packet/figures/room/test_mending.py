"""What mends the colour, in the packet: figures and words carry it without colour, it is short, and
what is not known is said.
"""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

from pypdf import PdfReader

from scout.assess import answers as a
from scout.drawing.plan.bounce import bounce_plan
from scout.drawing.shapes import Drawing
from scout.packet.figures.room.mending import LINES, best_remedies
from scout.packet.setting.text import letter_width
from scout.values import Figure, Name, Word, names
from tests.packet.invented import assessment, content, packet_room, render_packet, room
from tests.packet.printed import words_of


def white(*lights: str) -> a.Act:
    side = Figure(2.0, "m")
    return a.act(
        "lay.white",
        surface=Word("surface", "floor"),
        area=Figure(4.0, "m2"),
        width=side,
        depth=side,
        lights=names(lights),
    )


def remedy(light: str, after: float, risk: a.Risk, **kept: Any) -> a.RemedyAnswer:
    facts: dict[str, Any] = {
        "target": Word("side", "shadow"),
        "action": white(light),
        "delta_e_before": 9.0,
        "risk_before": "high",
        "stops_change": 0.5,
    }
    return a.RemedyAnswer(light=light, delta_e_after=after, risk_after=risk, **{**facts, **kept})


def plan(width_mm: float = 62.0) -> Drawing:
    drawn = bounce_plan(
        room(),
        {"A": 0.31, "B": 0.2, "C": 0.25, "D": 0.13, "floor": 0.1, "ceiling": 0.01},
        what=Name("key on the shadow side"),
        width_mm=width_mm,
        text_width=letter_width(),
    )
    assert drawn is not None
    return drawn


def printed(drawn: Drawing | None, **kept: Any) -> tuple[int, str]:
    """How many pages a packet of one room has with these answers, and all its words."""
    given = content()
    place = replace(
        given.locations[0],
        rooms=(packet_room(assessment=replace(assessment(), **kept), bounce_plan=drawn),),
    )
    body, result = render_packet(replace(given, locations=(place,), comparisons=()))
    assert not result.warnings, result.warnings
    reader = PdfReader(io.BytesIO(body))
    return len(reader.pages), words_of(reader)


def test_remedies_doubt_and_mixed_light_are_told_in_words_and_figures() -> None:
    # property: what was handed over stands on the page as words and figures, so that a print
    # without colour says as much
    sides = (
        a.SurroundAnswer(
            light="key",
            side="shadow",
            delta_e=9.0,
            risk="high",
            doubt="high, might be medium",
            worst_surface="A",
            contrast_stops=2.0,
        ),
    )
    mixed = a.MixedAnswer(
        mired_between=-192.4,
        delta_e_between=19.3,
        risk="high",
        acts=(a.act("practical.off", practical=Name("L1")),),
        assumed=(Name("cheeks are planes"),),
    )
    _, said = printed(
        plan(),
        surround=sides,
        remedies=(remedy("key", 3.04, "medium", stops_change=1.23),),
        mixed=mixed,
    )
    for words in (
        "A 31 %",
        "floor 10 %",
        "ceiling 1 %",
        "Where the bounced light of key on the shadow side comes from",
        "high, might be medium",
        "key, shadow side: Lay white on the floor",
        "9.0 to 3.0",
        "high to medium",
        "+1.2",
        "192 mired and a cast of 19.3 apart (high risk)",
        f"{a.act('practical.off', practical=Name('L1'))}.",
        "cheeks are planes",
        "weight every stand",
        "nine of ten draws",
    ):
        assert words in said, words


def test_the_best_come_first() -> None:
    # by hand: ranked by the risk left, then by the cast left
    rows = (remedy("key", 6.0, "high"), remedy("key", 2.0, "low"), remedy("key", 1.5, "low"))
    assert [row.delta_e_after for row in best_remedies(rows)] == [1.5, 2.0]
    many = tuple(remedy(light, 2.0 + step, "low") for light in "abcdef" for step in (0.0, 1.0))
    chosen = best_remedies(many)
    assert len(chosen) == LINES == 8
    # property: each light before any twice
    assert [row.light for row in chosen if row.delta_e_after == 2.0] == list("abcdef")


def test_it_takes_half_a_page_at_most() -> None:
    # property: a part held to half a page adds at most one page to a packet
    rows = tuple(
        remedy(light, 2.0 + step, "low")
        for light in ("key", "fill", "back", "kicker")
        for step in (0.0, 1.0)
    )
    before, _ = printed(None)
    after, said = printed(
        plan(),
        remedies=rows,
        mixed=a.MixedAnswer(unknown=Name("because no light reaches one of the cheeks")),
    )
    assert after - before <= 1
    assert "Mixed light is not known: because no light reaches one of the cheeks." in said


def test_a_plan_too_high_for_half_a_page_stands_alone_and_nothing_is_lost() -> None:
    _, said = printed(plan(165.0), remedies=(remedy("key", 3.0, "medium"),))
    for words in ("A 31 %", "Lay white on the floor", "9.0 to 3.0"):
        assert words in said, words


def test_nothing_to_mend_is_said_and_nothing_worked_out_is_not() -> None:
    assert "No fix of the colour is needed here" in printed(None, remedies=())[1]
    said = printed(None)[1]
    assert "No fix" not in said
    assert "Mixed light" not in said
    unjudged = printed(
        None,
        remedies=(),
        bounce=(),
        surround=(
            a.SurroundAnswer(
                light="key", side="key", unknown=Name("because its colour is not measured")
            ),
        ),
    )[1]
    assert "No fix" not in unjudged  # property: what is not judged is not called good


def test_a_reason_said_of_the_bounce_is_not_said_again_of_mixed_light() -> None:
    why = Name("because an exterior has no walls or ceiling to bounce light from")
    _, said = printed(
        None,
        bounce=(),
        surround=(),
        remedies=(),
        mixed=a.MixedAnswer(unknown=why),
        blocks={"bounce": a.BlockNote(unknown=why)},
    )
    assert said.count(str(why)) == 1


def test_both_skies_are_told() -> None:
    mixed = a.MixedAnswer(
        mired_between=12.0, delta_e_between=3.1, risk="medium", window_cct_k=6500.0
    )
    _, said = printed(None, mixed=mixed, mixed_clear=replace(mixed, delta_e_between=7.7))
    for words in ("Mixed light, overcast sky", "3.1 apart", "Mixed light, clear sky", "7.7 apart"):
        assert words in said, words
