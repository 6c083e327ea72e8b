import pytest

from scout.calc.light.flicker import flicker_share, flicker_stops, safe_shutters
from scout.errors import OutOfRange

NTSC = 1000 / 1001


@pytest.mark.parametrize(
    ("fps", "mains_hz", "angles"),
    # common practice: lamps pulse at twice the mains; by hand: angle = 360 fps n / (2 mains), for
    # every n within one frame.
    [
        (24, 50, [86.4, 172.8, 259.2, 345.6]),
        (24 * NTSC, 50, [86.3, 172.6, 258.9, 345.3]),
        (24, 60, [72, 144, 216, 288, 360]),
        (24 * NTSC, 60, [71.9, 143.9, 215.8, 287.7, 359.6]),
        (25, 50, [90, 180, 270, 360]),
        (25, 60, [75, 150, 225, 300]),
        (30, 50, [108, 216, 324]),
        (30 * NTSC, 50, [107.9, 215.8, 323.7]),
        (30, 60, [90, 180, 270, 360]),
        (30 * NTSC, 60, [89.9, 179.8, 269.7, 359.6]),
        (50, 50, [180, 360]),
        (50, 60, [150, 300]),
        (60, 50, [216]),
        (60 * NTSC, 50, [215.8]),
        (60, 60, [180, 360]),
        (60 * NTSC, 60, [179.8, 359.6]),
        (120, 50, []),
        (240, 60, []),
    ],
)
def test_safe_shutter_angles(fps: float, mains_hz: float, angles: list[float]) -> None:
    found = safe_shutters(mains_hz, fps)
    assert [shutter.angle_deg for shutter in found] == pytest.approx(angles, abs=0.06)
    for shutter in found:
        assert shutter.shutter_s == pytest.approx(shutter.pulses / (2 * mains_hz))
        # property: over whole pulses the swing is nothing.
        assert float(flicker_share(shutter.shutter_s, mains_hz)) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("shutter_s", "mains_hz", "share", "stops"),
    # by hand: |sin(pi f t) / (pi f t)|; 1/50 at 120 Hz: f t = 2.4, |sin 7.540| / 7.540 = .951 /
    # 7.540 = .126; log2(1.126 / .874) = .37.
    [(1 / 50, 60, 0.126, 0.37), (1 / 60, 50, 0.165, 0.48), (1 / 250, 50, 0.757, 2.85)],
)
def test_how_bad_an_unsafe_shutter_is(
    shutter_s: float, mains_hz: float, share: float, stops: float
) -> None:
    assert float(flicker_share(shutter_s, mains_hz)) == pytest.approx(share, abs=0.0005)
    assert float(flicker_stops(flicker_share(shutter_s, mains_hz))) == pytest.approx(
        stops, abs=0.01
    )


def test_refusals() -> None:
    for mains_hz, fps in ((0, 25), (50, 0), (50, float("inf")), (float("nan"), 25), (50, 1e-6)):
        with pytest.raises(OutOfRange):
            safe_shutters(mains_hz, fps)
    with pytest.raises(OutOfRange):
        flicker_stops(1.0)
