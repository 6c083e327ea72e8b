"""Generic kits to start from: whole, sound, and open about being invented."""

from __future__ import annotations

import math

import pytest

from scout.assess.power.power import power
from scout.records import kit_refusals, read_sheet
from scout.records.starter_kits import NOTE, StarterKit, starter_kit, starter_kits


@pytest.mark.parametrize("one", starter_kits(), ids=lambda one: one.called)
def test_every_kit_is_sound(one: StarterKit) -> None:
    assert not tuple(kit_refusals(one.kit))
    assert one.kit.notes == NOTE
    assert "invented" in NOTE
    assert starter_kit(one.called) is one
    for light in one.kit.lights or ():
        # property: nothing the calculations ask of a light is left open
        assert light.known_lux_at_1m
        assert None not in (
            light.watts,
            light.power_factor,
            light.beam_deg,
            light.cct_k,
            light.spectrum,
            light.head_m,
            light.soft_width_m,
            light.supply,
        )
        # common practice: a white LED fixture gives 15 to 150 lm a watt; a cone of angle b holds 2
        # pi (1 - cos(b / 2)) times its intensity
        lumens = (
            (light.known_lux_at_1m or 0)
            * 2
            * math.pi
            * (1 - math.cos(math.radians(light.beam_deg or 0) / 2))
        )
        assert 5 < lumens / (light.watts or 1) < 150


def test_every_kit_plugs_into_one_ordinary_circuit() -> None:
    for one in starter_kits():
        sheet = read_sheet(
            {
                "schema": "room-sheet/1",
                "kit": one.kit.model_dump(mode="json", exclude_none=True),
                "room": {
                    "circuits": [
                        {
                            "id": "K1",
                            "volts": 230,
                            "breaker_a": 16,
                            "other_load_w": 0,
                            "verified": True,
                        }
                    ],
                    "outlets": [{"id": "P1", "circuit": "K1", "sockets": 6}],
                },
            }
        )
        assert power(sheet, {}).feasible is True


def test_no_such_kit() -> None:
    assert starter_kit("") is None
    assert starter_kit("four_lights") is None
