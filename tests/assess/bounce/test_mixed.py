"""Mixed light: shares add up, two lights on the black-body line mix to below it, and the practical
to blame is named.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from scout.assess.answers import DaylightAnswer, MixedAnswer
from scout.assess.bounce.mixed import WINDOWS, _gelled, _Source, mixed_light
from scout.calc.bounce.shift import shifts
from scout.calc.bounce.spectra import planck, xyz
from scout.calc.bounce.whiteness import cct_duv, uv_1960
from scout.calc.bounce.window_light import sky_spectrum, sun_cct_k, sun_spectrum
from scout.errors import OutOfRange
from scout.values import Name, Word
from tests.assess.bounce.codes import code, facts
from tests.assess.bounce.test_bounce import GREY_ROOM, at, sheet

MARKS: dict[str, Any] = {"subject": [2.0, 1.5, 1.2], "subject_normal": [0, -1, 0]}
WARM: dict[str, Any] = {
    "id": "L1",
    "at_m": [0.8, 1.0, 1.3],
    "lumens": 1500,
    "cct_k": 2700,
    "can_switch_off": True,
}
DIM: dict[str, Any] = {
    "id": "key",
    "cct_k": 5600,
    "duv": 0.0,
    "spectrum": "led",
    "lux_at_1m": 600,
    "beam_deg": 55,
}


def mixed(**room: Any) -> MixedAnswer:
    (found,) = mixed_light(
        sheet(GREY_ROOM, marks=MARKS, lights=[DIM], **room), at((3.4, 0.6, 1.6)), DaylightAnswer()
    )
    return found


def test_a_warm_practical_on_the_other_side_is_named_and_switched_off() -> None:
    found = mixed(practicals=[WARM])
    key, other = found.sides
    for side in (key, other):
        assert side.shares is not None
        assert sum(side.shares.values()) == pytest.approx(1.0)  # property: shares of one whole
    assert other.shares is not None
    assert other.shares["L1"] > 0.5
    assert found.mired_between is not None
    # property: between 5600 K and 2700 K lie 192 mired (1e6/2700 - 1e6/5600); a mix cannot be
    # further apart
    assert 30 < found.mired_between < 192
    # property: of two acts upon the same lamp the one that leaves less stands first
    assert found.acts
    assert {act["practical"] for act in found.acts} == {Name("L1")}
    left = [act.buys.after for act in found.acts if act.buys is not None]
    assert left == sorted(left)
    for act in found.acts:
        assert act.buys is not None
        assert act.buys.before == found.delta_e_between
        assert act.buys.after < act.buys.before - 0.5
    kept_on = mixed(practicals=[{**WARM, "can_switch_off": False}])
    assert "practical.off" in {act.code for act in found.acts}
    assert {act.code for act in kept_on.acts} == {"gel.practical"}


def test_one_light_in_a_grey_room_has_one_colour() -> None:
    found = mixed()
    assert found.delta_e_between == pytest.approx(
        0.0, abs=0.02
    )  # property: grey surfaces change no colour
    assert (found.risk, found.acts) == ("none", ())
    assert [side.side for side in found.sides] == [Word("cheek", "key"), Word("cheek", "other")]


def test_what_is_not_measured_is_said() -> None:
    found = mixed(practicals=[{"id": "L2", "at_m": [1, 1, 1]}])
    assert found.unknown is not None
    (left_out,) = found.unknown["reasons"]
    assert (facts(left_out), left_out["light"]) == (["lumens", "cct_k"], Name("L2"))
    (no_key,) = mixed_light(sheet(GREY_ROOM, marks=MARKS, lights=[]), {}, DaylightAnswer())
    assert code(no_key.unknown) == "bounce.no_lights"
    outdoors = mixed(setting="exterior")
    assert (outdoors.unknown, outdoors.sides) == (None, ())
    (bare,) = mixed_light(sheet({}, marks=MARKS), {}, DaylightAnswer())
    assert bare.unknown is not None


def test_colour_of_sky_and_sun_by_the_hour() -> None:
    # Source: CIE 15:2018, the D series at 6500 K and 12000 K; property: the beam grows bluer as the
    # sun climbs
    assert float(cct_duv(uv_1960(xyz(sky_spectrum(overcast=True))))[0]) == pytest.approx(
        6500, abs=10
    )
    assert float(cct_duv(uv_1960(xyz(sky_spectrum(overcast=False))))[0]) == pytest.approx(
        12000, rel=0.01
    )
    assert sun_cct_k(0) == pytest.approx(2000)
    assert sun_cct_k(5) < sun_cct_k(15) < sun_cct_k(60) <= 5500
    for height in (2.0, 12.0, 50.0):  # property: the spectrum has the temperature that is stated
        assert float(cct_duv(uv_1960(xyz(sun_spectrum(height))))[0]) == pytest.approx(
            sun_cct_k(height), rel=0.002
        )
    with pytest.raises(OutOfRange, match="elevation_deg"):
        sun_cct_k(float("nan"))


def test_windows_are_gelled_with_what_is_sold_and_no_better() -> None:
    # common practice: full CTO brings daylight to tungsten; the shadow side has all of the windows
    key = _Source("key", planck(3200), np.stack([planck(3200), 0.1 * planck(3200)]))
    day = planck(5600)
    windows = _Source(WINDOWS, day, np.stack([0.02 * day, 0.3 * day]))
    of = {"light": Name("key")}
    ((total, code_of, values),) = _gelled("gel.windows", of, windows, key.light, key.cheeks)
    assert (code_of, values["gels"].items) == ("gel.windows", (Word("gel", "cto_full"),))
    before, after = (
        shifts(cheeks[0], cheeks[1][None])[0].delta_e
        for cheeks in (key.cheeks + windows.cheeks, total)
    )
    assert 0 < after < before / 3  # property: makers differ, so something is left
    alike = _Source(WINDOWS, key.light, windows.cheeks)
    # nothing to match, nothing to buy
    assert _gelled("gel.windows", of, alike, key.light, key.cheeks) == []


def test_a_lamp_of_the_room_is_gelled_with_what_is_sold() -> None:
    found = mixed(practicals=[WARM])
    gel = next(one for one in found.acts if one.code == "gel.practical")
    # common practice: full CTB brings tungsten to daylight; 2700 K to 5600 K is as far
    assert Word("gel", "ctb_full") in gel["gels"].items
    assert gel.buys is not None
    assert gel.buys.after > 0.1  # property: no two makers' gels are alike, so a cast is left


def test_a_key_of_tungsten_is_gelled_to_the_day_with_what_is_sold() -> None:
    key = _Source("key", planck(3200), np.stack([planck(3200), 0.1 * planck(3200)]))
    day = planck(5600)
    ((_, code_of, values),) = _gelled(
        "key.daylight", {"light": Name("key")}, key, day, np.stack([0.1 * day, 0.3 * day])
    )
    assert (code_of, values["gels"].items) == ("key.daylight", (Word("gel", "ctb_full"),))
