"""Which light of a kit does what, and what the plan takes of a light nobody measured."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from scout.assess.stage.kit import between_deg, foot_m, plan_lamp, roles
from scout.records.sheet import Kit, Light
from scout.values import Figure, Word

SUBJECT, CAMERA = (0.0, 0.0, 1.2), (0.0, -3.0, 1.2)


def light(name: str, **facts: Any) -> Light:
    return Light(id=name, **facts)


def names_of(*lights: Light, marks: bool = True) -> tuple[str | None, ...]:
    """Key, fill, back, then the others."""
    found = roles(lights, SUBJECT if marks else None, CAMERA if marks else None)
    three = (found.key, found.fill, found.back)
    return (*(one.id if one else None for one in three), *(one.id for one in found.others))


def test_names_say_what_a_light_does_whatever_its_strength() -> None:
    weak_key = light("Key", lux_at_1m=10)
    others = (light("hair light", lux_at_1m=900), light("FILLER", lux_at_1m=800))
    assert names_of(*others, weak_key) == ("Key", "FILLER", "hair light")
    assert roles((*others, weak_key), SUBJECT, CAMERA).notes == ()  # nothing was taken
    # property: the very word goes before a name that holds it; a part of a word is no word
    assert names_of(light("old key"), light("key"))[0] == "key"
    assert names_of(light("monkey"), light("b", lux_at_1m=5))[0] == "b"


def test_the_rest_by_strength_then_softness() -> None:
    a, b, c, d = (
        light(name, lux_at_1m=lux) for name, lux in zip("abcd", (4, 3, 2, 1), strict=True)
    )
    assert names_of(d, b, c, a) == ("a", "b", "c", "d")
    found = roles((d, b, c, a), SUBJECT, CAMERA)
    taken = found.notes[0]["parts"]
    assert [one["part"] for one in taken] == [Word("part", p) for p in ("key", "fill", "back")]
    # of the two strongest that are left the softer one fills, the other stands behind
    soft = light("c", lux_at_1m=2, soft_width_m=1.0)
    assert names_of(a, b, soft) == ("a", "c", "b")
    softer_but_weakest = light("d", lux_at_1m=1, soft_width_m=2.0)
    assert names_of(a, b, c, softer_but_weakest)[1] == "b"
    # with a back light named, nothing is kept for it: the stronger one fills
    assert names_of(a, b, soft, light("rim"))[:3] == ("a", "b", "rim")
    assert names_of(a) == ("a", None, None)
    assert names_of() == (None, None, None)
    # a strength nobody knows is the least
    assert names_of(light("x"), light("y", lux_at_1m=0.5))[:2] == ("y", "x")


@pytest.mark.parametrize(
    ("turn_deg", "behind"),
    # more than 100 degrees from the way to the camera (by hand: cos 100 = -0.174, border at -0.17)
    [(180.0, True), (101.0, True), (99.0, False), (0.0, False)],
)
def test_a_light_pinned_behind_the_subject_is_the_back_light(turn_deg: float, behind: bool) -> None:
    way = np.radians(turn_deg - 90.0)
    at = (2.0 * float(np.cos(way)), 2.0 * float(np.sin(way)), 2.0)
    pinned = light("p", lux_at_1m=900, at_m=at)
    assert names_of(pinned, light("q", lux_at_1m=1)) == (
        ("q", None, "p") if behind else ("p", "q", None)
    )
    assert names_of(pinned, light("q", lux_at_1m=1), marks=False)[0] == "p"


def test_what_is_taken_of_a_stand_and_a_head_nobody_measured() -> None:
    # common practice: a stand from 1.1 to 2.6 m, a head 0.35 m high
    lamp, assumed = plan_lamp(light("a"), SUBJECT)
    assert (lamp.lamp.stand_min_m, lamp.lamp.stand_max_m, lamp.lamp.head_m) == (1.1, 2.6, 0.35)
    assert [one.code for one in assumed] == ["fit.stand_taken", "fit.head_taken"]
    assert (assumed[0]["low"], assumed[0]["high"]) == (Figure(1.1, "m"), Figure(2.6, "m"))
    assert (lamp.intensity_cd, lamp.pinned_m, lamp.share) == (None, None, 1.0)
    whole = light("a", stand_min_m=1.0, stand_max_m=3.0, head_m=0.2, soft_width_m=0.6, lux_at_1m=5)
    lamp, assumed = plan_lamp(whole, SUBJECT)
    assert (lamp.lamp.stand_min_m, lamp.lamp.stand_max_m) == (1.0, 3.0)
    assert (lamp.lamp.head_m, lamp.lamp.soft_width_m, lamp.intensity_cd) == (0.2, 0.6, 5)
    assert assumed == ()
    # property: no stand is higher at its lowest than at its highest
    low_top = plan_lamp(light("a", stand_max_m=0.8), SUBJECT)[0].lamp
    assert (low_top.stand_min_m, low_top.stand_max_m) == (0.8, 0.8)
    high_foot = plan_lamp(light("a", stand_min_m=3.0), SUBJECT)[0].lamp
    assert (high_foot.stand_min_m, high_foot.stand_max_m) == (3.0, 3.0)


def test_the_foot_is_the_widest_of_the_kits_stands() -> None:
    # common practice: 1.0 m across where no stand is measured
    assert (foot_m(None), foot_m(Kit())) == (1.0, 1.0)
    stands = [{"id": "a", "foot_m": 0.7}, {"id": "b", "foot_m": 0.9}, {"id": "c"}]
    kit = Kit.read({"stands": stands})
    assert foot_m(kit) == 0.9
    assert plan_lamp(light("a"), SUBJECT, foot_m(kit))[0].lamp.foot_m == 0.9
    assert plan_lamp(light("a"), SUBJECT)[0].lamp.foot_m == 1.0


def test_a_pinned_light_stands_where_it_is_pinned() -> None:
    at = (1.0, 1.0, 2.0)
    for facts, reach in (
        ({}, (2.0, 2.0)),
        ({"stand_min_m": 1.2}, (1.2, 2.0)),
        ({"stand_max_m": 2.4}, (2.0, 2.4)),
        ({"stand_min_m": 2.2}, (2.0, 2.2)),
        ({"stand_min_m": 1.2, "stand_max_m": 1.8}, (1.2, 1.8)),
    ):
        lamp, assumed = plan_lamp(light("a", at_m=at, head_m=0.3, **facts), SUBJECT)
        assert (lamp.lamp.stand_min_m, lamp.lamp.stand_max_m) == reach
        assert lamp.pinned_m == at
        assert assumed == ()


def test_a_light_aimed_past_the_subject_gives_what_its_beam_leaves() -> None:
    at, half_deg = (0.0, -2.0, 1.2), 20.0

    def aimed(off_deg: float, beam_deg: float | None = 2 * half_deg) -> Any:
        way = np.radians(off_deg)
        aim = (2.0 * float(np.sin(way)), -2.0 + 2.0 * float(np.cos(way)), 1.2)
        facts = {"lux_at_1m": 100.0, "head_m": 0.3, "beam_deg": beam_deg}
        return plan_lamp(light("a", at_m=at, aim_m=aim, **facts), SUBJECT)

    lamp, assumed = aimed(half_deg)
    # property: at the beam's edge half of the intensity on the axis (how a beam angle is defined)
    assert lamp.share == pytest.approx(0.5, abs=0.01)
    assert assumed[0]["angle"].value == pytest.approx(half_deg)
    assert (aimed(0.4)[0].share, aimed(0.4)[1]) == (1.0, ())  # to half a degree it is aimed at them
    assert aimed(0.6)[1][0].code == "fit.off_axis"
    blind, assumed = aimed(half_deg, None)
    assert (blind.intensity_cd, blind.share) == (None, 1.0)
    assert [one.code for one in assumed] == ["fit.beam_unknown"]


def test_angles_between_ways() -> None:
    # by hand
    assert between_deg((1, 0, 0), (0, 2, 0)) == pytest.approx(90)
    assert between_deg((1, 0, 0), (-3, 0, 0)) == pytest.approx(180)
    assert between_deg((1, 1, 0), (1, 0, 0)) == pytest.approx(45)
    assert between_deg((0, 0, 0), (1, 0, 0)) == 0.0
