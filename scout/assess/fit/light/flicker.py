"""Which shutters do not beat with lamps on the mains, and how far the camera's own would swing."""

from __future__ import annotations

from scout.assess.answers import FlickerAnswer
from scout.assess.setup import country_of_place
from scout.calc.light.flicker import flicker_share, flicker_stops, safe_shutters
from scout.calc.light.mains import mains_of
from scout.records.sheet import RoomSheet, SheetLocation
from scout.values import Figure, Many, Said, names, said

SLOWEST_FPS = 24.0
SEEN_STOPS = (
    0.05  # a swing from frame to frame that a face in even light begins to show (common practice)
)
FULL_SWING = (
    0.999  # a shutter so short that it may meet the lamp dark: the swing has no end in stops
)


def flicker_rows(sheet: RoomSheet) -> tuple[FlickerAnswer, ...]:
    """A row for each mains frequency that the place may have; empty when nothing of the camera is recorded
    and no lamp of the room either.
    """
    camera = sheet.kit.camera if sheet.kit is not None else None
    if camera is None and not sheet.room.practicals:
        return ()
    country = country_of_place(sheet.location)
    mains = mains_at(sheet.location)
    about_mains = (
        said(
            "fit.mains_there",
            mains=Many(tuple(Figure(hertz, "Hz") for hertz in mains), "or"),
            country=names(country.codes, "or"),
            basis=country.basis,
        )
        if country.codes
        else said("fit.mains_both", because=country.basis)
    )
    notes = (said("fit.pulses"), about_mains, said("fit.dimmed_led"))
    shutter_s = camera.shutter_s if camera is not None else None
    return tuple(_row(hertz, shutter_s, notes) for hertz in mains)


def mains_at(location: SheetLocation | None) -> tuple[float, ...]:
    """The frequencies that the mains of a place may have: one, where its country decides."""
    codes = country_of_place(location).codes
    return mains_of(codes, None if location is None else location.longitude_deg)


def _row(mains_hz: float, shutter_s: float | None, notes: tuple[Said, ...]) -> FlickerAnswer:
    safe = tuple(shutter.shutter_s for shutter in safe_shutters(mains_hz, SLOWEST_FPS))
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
