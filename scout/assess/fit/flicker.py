"""Which shutters do not beat with lamps on the mains, and how far the camera's own would swing."""

from __future__ import annotations

from scout.assess.answers import FlickerAnswer, Verdict
from scout.calc.light.flicker import flicker_share, flicker_stops, safe_shutters
from scout.records.sheet import RoomSheet

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
    notes = (
        "lamps on the mains pulse at twice its frequency, here fully: the worst common case (common practice)",
        "a dimmed LED may pulse at a rate of its own: test on camera",
    )
    if shutter_s is None:
        return FlickerAnswer(
            mains_hz=mains_hz,
            safe_shutters_s=safe,
            assumed=notes,
            unknown="because the camera's shutter is not recorded",
        )
    share = float(flicker_share(shutter_s, mains_hz))
    if share > FULL_SWING:
        return FlickerAnswer(
            mains_hz=mains_hz, safe_shutters_s=safe, shutter_s=shutter_s, safe=False, assumed=notes
        )
    swing = float(flicker_stops(share))
    return FlickerAnswer(
        mains_hz=mains_hz,
        safe_shutters_s=safe,
        shutter_s=shutter_s,
        safe=swing <= SEEN_STOPS,
        swing_stops=swing,
        assumed=notes,
    )


def shutter_words(shutter_s: float) -> str:
    """1/50 s; a shutter that is no neat fraction as 1/33.3 s."""
    return f"{shutter_s:g} s" if shutter_s >= 1.0 else f"1/{1.0 / shutter_s:.4g} s"


def flicker_verdicts(sheet: RoomSheet, rows: tuple[FlickerAnswer, ...]) -> tuple[Verdict, ...]:
    """A word only where lamps of the room stay on under a shutter that is safe on no mains, or on
    one alone.
    """
    staying = [lamp.id for lamp in sheet.room.practicals or () if lamp.can_switch_off is not True]
    judged = [row for row in rows if row.safe is not None]
    bad = [row for row in judged if not row.safe]
    if not staying or not bad or bad[0].shutter_s is None:
        return ()
    told = "; ".join(
        f"on {row.mains_hz:g} Hz mains it swings "
        + ("without end" if row.swing_stops is None else f"up to {row.swing_stops:.1f} stops")
        + f", and {', '.join(shutter_words(s) for s in row.safe_shutters_s)} do not"
        for row in bad
    )
    return (
        Verdict(
            "fit",
            "care",
            f"A shutter of {shutter_words(bad[0].shutter_s)} may beat with the room's lamps ({', '.join(staying)}): {told}.",
        ),
    )
