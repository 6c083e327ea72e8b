"""Which shutters do not beat with lamps on the mains, and how far the camera's own would swing."""

from __future__ import annotations

from scout.assess.answers import FlickerAnswer
from scout.calc.light.flicker import flicker_share, flicker_stops, safe_shutters
from scout.records.sheet import RoomSheet
from scout.values import said

MAINS_HZ = (50.0, 60.0)
SLOWEST_FPS = 24.0
SEEN_STOPS = (
    0.05  # a swing from frame to frame that a face in even light begins to show (common practice)
)
FULL_SWING = (
    0.999  # a shutter so short that it may meet the lamp dark: the swing has no end in stops
)


def flicker_rows(sheet: RoomSheet) -> tuple[FlickerAnswer, ...]:
    """A row for each mains frequency in use anywhere; empty when nothing of the camera is recorded
    and no lamp of the room either.
    """
    camera = sheet.kit.camera if sheet.kit is not None else None
    if camera is None and not sheet.room.practicals:
        return ()
    return tuple(
        _row(hertz, camera.shutter_s if camera is not None else None) for hertz in MAINS_HZ
    )


def _row(mains_hz: float, shutter_s: float | None) -> FlickerAnswer:
    safe = tuple(shutter.shutter_s for shutter in safe_shutters(mains_hz, SLOWEST_FPS))
    notes = (said("fit.pulses"), said("fit.dimmed_led"))
    if shutter_s is None:
        return FlickerAnswer(
            mains_hz=mains_hz,
            safe_shutters_s=safe,
            assumed=notes,
            unknown=said("fit.no_shutter"),
        )
    swing = swing_stops(shutter_s, mains_hz)
    return FlickerAnswer(
        mains_hz=mains_hz,
        safe_shutters_s=safe,
        shutter_s=shutter_s,
        safe=swing is not None and swing <= SEEN_STOPS,
        swing_stops=swing,
        assumed=notes,
    )


def swing_stops(shutter_s: float, mains_hz: float) -> float | None:
    """Darkest to brightest frame under a lamp that pulses fully; None without end."""
    share = float(flicker_share(shutter_s, mains_hz))
    return None if share > FULL_SWING else float(flicker_stops(share))
