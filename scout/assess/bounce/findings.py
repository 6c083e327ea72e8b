"""What the bounce figures mean on the day: one finding for all the lights of which the same holds."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from scout.assess.answers import (
    Act,
    BounceAnswer,
    Change,
    Finding,
    Level,
    RemedyAnswer,
    Risk,
    RoomAssessment,
    SurroundAnswer,
    WindowLightAnswer,
    act,
    worst_level,
)
from scout.assess.answers.finding import MOST_ACTS
from scout.assess.bounce.codes import (
    BounceBest,
    BouncePoor,
    Mixed,
    SpillClean,
    SpillLit,
    SpillShadow,
    Unknown,
    WindowCast,
    WindowClean,
)
from scout.assess.bounce.remedies import acts_for, off
from scout.assess.bounce.start import NO_LIGHTS, lights_of
from scout.assess.bounce.worst import Judged, Row, best_of, is_deep, worst_of
from scout.assess.daylight.missing import facts_of
from scout.assess.recorded import CARD, trust_of
from scout.assess.setup import Setup
from scout.calc.bounce.shift import POINTLESS_STOPS
from scout.records.sheet import RoomSheet
from scout.values import (
    ColourCast,
    Figure,
    Many,
    Name,
    Said,
    Unit,
    Value,
    Word,
    said,
    words,
)
from scout.values import names as as_names

# a share of the light on the face that comes straight from a bouncing lamp: less is no edge to see
# (common practice)
SPILL_TELLS = 0.1
CLEAN: tuple[Risk | None, ...] = ("none", "low")
BAD: tuple[Level, ...] = ("problem", "care")
Item = TypeVar("Item")


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What the room does to the colour of the lights and of daylight; outdoors nothing."""
    if setup.sheet.room.setting == "exterior":
        return ()
    sheet, loose = setup.sheet, _loose(setup.sheet)
    spills = [_taken(row, loose) for row in found.surround]
    bounces = [_taken(row, loose) for row in found.bounce]
    daylight = _worst_daylight(found.window_surround or ())
    acts = found.remedies or ()
    return (
        *_spills(sheet, spills, acts),
        *_in_doubt(sheet, spills, bounces, daylight),
        *_bounces(bounces, acts),
        *_windows(daylight, acts),
        *_mixed(found),
    )


def _loose(sheet: RoomSheet) -> list[str]:
    """The surfaces whose colour is known less well than by a card or a code."""
    surfaces = sheet.room.surfaces or {}
    return [name for name in surfaces if trust_of(sheet, name).tint > CARD.tint]


def _taken(row: Row, loose: list[str]) -> Row:
    """A row whose doubt was not worked out, with loosely known surfaces: it may reach anything."""
    if row.risk is None or row.risk_range is not None or not loose:
        return row
    return replace(row, risk_range=(row.risk, "high"))


def grouped(
    items: Iterable[Item], key: Callable[[Item], Hashable]
) -> Iterator[tuple[Any, list[Item]]]:
    """Items that share a key together, in the order of their first."""
    by_key: dict[Hashable, list[Item]] = {}
    for item in items:
        by_key.setdefault(key(item), []).append(item)
    yield from by_key.items()


def level_of(row: SurroundAnswer | WindowLightAnswer) -> Level:
    """What a cast on a side of the face comes to; a deep shadow hides its own."""
    if row.risk in CLEAN:
        return _if_clean(row)
    hidden = is_deep(row.side, row.contrast_stops)
    return "care" if row.risk == "medium" or hidden else "problem"


def _if_clean(row: Judged) -> Level:
    """The level of a clean cast: unknown where its doubt reaches one that shows."""
    return "good" if row.risk_range is None or row.risk_range[1] in CLEAN else "unknown"


def _lights(rows: Iterable[BounceAnswer | SurroundAnswer]) -> Many:
    return as_names(dict.fromkeys(row.light for row in rows))


def _cast(rows: Sequence[Judged]) -> ColourCast:
    """The worst cast of some rows, with all that their doubts reach."""
    casts = [row.delta_e for row in rows if row.delta_e is not None]
    ends = [*casts, *(end for row in rows for end in row.delta_e_range or ())]
    return Figure(max(casts, default=max(ends)), "delta_e", min(ends), max(ends))


def _seen(rows: Sequence[Judged]) -> bool:
    return any(row.risk != "none" for row in rows)


def _span(values: Iterable[float], unit: Unit) -> Figure:
    given = tuple(values)
    return Figure(max(given), unit, min(given), max(given))


def _surfaces(*names: str | None) -> tuple[str, ...]:
    return tuple(f"room.surfaces.{name}.colour" for name in dict.fromkeys(names) if name)


# -- spill


def _spills(
    sheet: RoomSheet, surround: list[SurroundAnswer], remedies: tuple[RemedyAnswer, ...]
) -> Iterator[Finding]:
    judged = [row for row in surround if row.risk is not None]
    bad = [row for row in judged if level_of(row) in BAD]
    worst = {
        blamed: worst_level(level_of(row) for row in rows)
        for blamed, rows in grouped(bad, lambda row: (row.side, row.worst_surface))
    }

    def together(row: SurroundAnswer) -> tuple[str, Level, str | None]:
        """What is no problem is one finding a side, else one a surface."""
        level = worst[row.side, row.worst_surface]
        return row.side, level, row.worst_surface if level == "problem" else None

    for (side, level, _), rows in grouped(bad, together):
        acts = acts_for(remedies, (row.light for row in rows), Word("side", side))
        yield _spill(side, level, rows, acts)
    rest = [row for row in judged if row.light not in {row.light for row in bad}]
    doubted = {row.light for row in rest if level_of(row) == "unknown"}
    if clean := [row for row in rest if row.light not in doubted]:
        yield SpillClean(
            level="good", lights=_lights(clean), cast=_cast(clean), about=_lights(clean).items
        )
    yield from _not_judged(sheet, [row for row in surround if row.risk is None])


def _in_doubt(
    sheet: RoomSheet,
    spills: list[SurroundAnswer],
    bounces: list[BounceAnswer],
    daylight: WindowLightAnswer | None,
) -> Iterator[Finding]:
    """Casts that look clean and may not be, on a light that no finding calls coloured."""
    coloured = {row.light for row in spills if row.risk and level_of(row) in BAD}
    judged: tuple[tuple[Judged, Level], ...] = (
        *((row, level_of(row)) for row in spills if row.risk),
        *((row, _bounce_level(row)) for row in _best(bounces)),
    )
    unsure: list[Judged] = [
        row for row, level in judged if level == "unknown" and row.light not in coloured
    ]
    if daylight is not None and level_of(daylight) == "unknown":
        unsure.append(daylight)
    if not unsure:
        return
    surfaces = _loose(sheet) or list(sheet.room.surfaces or ())
    lights = tuple(
        DAYLIGHT if isinstance(row, WindowLightAnswer) else Name(row.light) for row in unsure
    )
    because = said("bounce.colours_loose", surfaces=words("surface", surfaces))
    cast = _cast(unsure) if all(row.delta_e_range for row in unsure) else None
    yield _unknown(sheet, Many(tuple(dict.fromkeys(lights))), because, cast)


def _unknown(
    sheet: RoomSheet, lights: Many, because: Said, cast: ColourCast | None = None
) -> Finding:
    return Unknown(
        level="unknown",
        about=lights.items,
        rests_on=tuple(_paths(sheet, because, lights)),
        acts=_measures(because, lights),
        lights=lights,
        cast=cast,
        because=because,
    )


def _spill(side: str, level: Level, rows: list[SurroundAnswer], acts: tuple[Act, ...]) -> Finding:
    lights, tints = _lights(rows), {row.tint for row in rows}
    surfaces = [name for name in dict.fromkeys(row.worst_surface for row in rows) if name]
    values: dict[str, Any] = {
        "level": level,
        "about": lights.items,
        "rests_on": _surfaces(*surfaces),
        "acts": acts,
        "lights": lights,
        "surfaces": words("surface", surfaces) if surfaces else None,
        "tint": tints.pop() if len(tints) == 1 else None,
        "cast": _cast(rows),
    }
    if side == "key":
        return SpillLit(**values)
    under = [row.contrast_stops for row in rows if row.contrast_stops is not None]
    return SpillShadow(contrast=_span(under, "stops") if under else None, **values)


def _not_judged(sheet: RoomSheet, rows: list[SurroundAnswer]) -> Iterator[Finding]:
    """What both ends of a surface that is not measured agree on; the rest is unknown."""
    certain = [row for row in rows if _certain(row) is not None]
    for (side, level), those in grouped(certain, lambda row: (row.side, _certain(row))):
        yield _spill(side, level, those, _measures(those[0].unknown or NO_LIGHTS))
    told = {row.light for row in certain}
    for because, those in grouped(
        (row for row in rows if row.light not in told and isinstance(row.unknown, Said)),
        lambda row: row.unknown,
    ):
        if because.code not in ("bounce.no_light_here", "bounce.no_place"):  # those are no riddle
            yield _unknown(sheet, _lights(those), because)


def _certain(row: SurroundAnswer) -> Level | None:
    """The level that an unmeasured surface cannot change: a coloured one only adds to a high cast."""
    if row.risk_range is None or row.risk_range[0] != "high":
        return None
    if row.side == "key":
        return "problem"
    deep = {is_deep(row.side, end) for end in row.contrast_stops_range or (0.0,)}
    return None if len(deep) == 2 else "care" if deep == {True} else "problem"


DAYLIGHT = said("bounce.of_daylight")
# what to look at where a light stands wrong; to place it is no measuring
PLACED = {"bounce.outside", "bounce.on_the_mark", "bounce.aimed_at_itself"}


def _facts(because: Said) -> tuple[list[str], list[str]]:
    """What ends a doubt: paths of the sheet, and facts of the light in question."""
    if because.code == "bounce.subject_on_a_surface":
        return ["marks.subject"], []
    if because.code in PLACED:
        return [], ["at_m"]
    facts = list(facts_of(because))
    return [fact for fact in facts if "." in fact], [fact for fact in facts if "." not in fact]


def _paths(sheet: RoomSheet, because: Said, lights: Many) -> Iterator[str]:
    paths, of_light = _facts(because)
    yield from (path if path.startswith(("room.", "marks.")) else f"room.{path}" for path in paths)
    if because.code == "bounce.colours_loose":
        yield from _surfaces(*(surface.key for surface in because["surfaces"]))
    for k, light in enumerate(lights_of(sheet)):
        if Name(light.id) in lights.items:
            yield from (f"kit.lights[{k}].{fact}" for fact in of_light)


def _measures(because: Said, lights: Many | None = None) -> tuple[Act, ...]:
    """To measure what is missing: it buys certainty."""
    if because.code in PLACED:
        return ()
    paths, of_light = _facts(because)
    facts: list[Value] = [Word("fact", path) for path in paths]
    if because.code == "bounce.colours_loose":
        of_light, lights = ["colour"], because["surfaces"]
    if of_light and lights is not None:
        facts.append(said("bounce.facts_of", facts=words("fact", of_light), lights=lights))
    return (act("measure", facts=Many(tuple(dict.fromkeys(facts)))),) if facts else ()


# -- bounces


def _best(bounces: list[BounceAnswer]) -> Iterator[BounceAnswer]:
    """For each light the surface to bounce it off."""
    for _, rows in grouped(bounces, lambda row: row.light):
        if (row := best_of(rows)) is not None:
            yield row


def _bounces(bounces: list[BounceAnswer], remedies: tuple[RemedyAnswer, ...]) -> Iterator[Finding]:
    by_light = dict(grouped(bounces, lambda row: row.light))
    best = [row for row in _best(bounces) if _bounce_level(row) != "unknown"]
    for surface, rows in grouped(best, lambda row: None if _is_poor(row) else row.surface):
        lights, surfaces = _lights(rows), tuple(dict.fromkeys(row.surface for row in rows))
        tints = {None if row.risk == "none" else row.tint for row in rows}
        level = worst_level(_bounce_level(row) for row in rows)
        targets = [off(name) for name in surfaces]
        shared: dict[str, Any] = {
            "level": level,
            "about": lights.items,
            "rests_on": _surfaces(*surfaces),
            "acts": acts_for(remedies, (row.light for row in rows), *targets),
            "lights": lights,
            "loss": _span((row.loss_stops or 0.0 for row in rows), "stops"),
            "cast": None if surface is None and not _seen(rows) else _cast(rows),
            "tint": tints.pop() if len(tints) == 1 else None,
        }
        if surface is None:
            yield BouncePoor(surfaces=words("surface", surfaces), **shared)
            continue
        coloured = {
            row.surface
            for light in rows
            for row in by_light[light.light]
            if row.risk not in (*CLEAN, None) and row.surface != surface
        }
        avoid = [row.surface for row in by_light[rows[0].light] if row.surface in coloured]
        yield BounceBest(
            surface=Word("surface", surface),
            avoid=words("surface", avoid) if avoid else None,
            **_flagged(rows, surface, shared),
        )
    dark = [rows for rows in by_light.values() if best_of(rows) is None]
    hopeless = [one for rows in dark if (one := _least_loss(rows)) is not None]
    if hopeless:
        lights = _lights(hopeless)
        surfaces = tuple(dict.fromkeys(row.surface for row in hopeless))
        ranges = [row.loss_stops_range or (0.0, 0.0) for row in hopeless]
        yield BouncePoor(
            level="care",
            about=lights.items,
            rests_on=_surfaces(*surfaces),
            lights=lights,
            surfaces=words("surface", surfaces),
            loss=_span((end for ends in ranges for end in ends), "stops"),
            cast=None,
            tint=None,
        )


def _flagged(rows: list[BounceAnswer], surface: str, shared: dict[str, Any]) -> dict[str, Any]:
    """The values of a bounce with the flag that keeps its lamps off the face, where one is called
    for. What the flag buys is the share of the light that then comes off the surface: all of it.
    """
    spilling = [row for row in rows if (row.spill_share or 0.0) > SPILL_TELLS]
    if not spilling:
        return shared
    worst = 100.0 * max(row.spill_share or 0.0 for row in spilling)
    flag = act(
        "flag.lamp",
        lights=_lights(spilling),
        surface=Word("surface", surface),
        buys=Change("bounced_share_pct", "%", 100.0 - worst, 100.0),
    )
    acts = (flag, *shared["acts"])[:MOST_ACTS]
    return shared | {"spill": Figure(worst, "%"), "acts": acts}


def _is_poor(row: BounceAnswer) -> bool:
    return row.risk == "high" or (row.loss_stops or 0.0) > POINTLESS_STOPS


def _bounce_level(row: BounceAnswer) -> Level:
    return _if_clean(row) if row.risk in CLEAN and not _is_poor(row) else "care"


def _least_loss(rows: Sequence[BounceAnswer]) -> BounceAnswer | None:
    """The row that loses least where every surface loses too much whatever the rest reflects; None
    where one might serve, or nothing is known of one.
    """
    known = [row for row in rows if row.loss_stops_range is not None]
    if not known or len(known) < len(rows):
        return None
    best = min(known, key=lambda row: row.loss_stops_range or (0.0, 0.0))
    return best if (best.loss_stops_range or (0.0,))[0] > POINTLESS_STOPS else None


# -- daylight and mixed light


def _worst_daylight(rows: Sequence[WindowLightAnswer]) -> WindowLightAnswer | None:
    """The worst of the hours; a cast that a deep shadow hides gives way to one that shows, and one
    that is clean to one that perhaps is not.
    """
    judged = [row for row in rows if row.risk is not None]
    blamed = [row for row in judged if level_of(row) == "problem" and row.worst_surface]
    worst = worst_of(blamed) or worst_of(judged)
    if worst is None or level_of(worst) != "good":
        return worst
    return worst_of(row for row in judged if level_of(row) == "unknown") or worst


def _windows(
    worst: WindowLightAnswer | None, remedies: tuple[RemedyAnswer, ...]
) -> Iterator[Finding]:
    level = "unknown" if worst is None else level_of(worst)
    if worst is None or level == "unknown":
        return
    if level == "problem" and worst.worst_surface is None:
        level = "care"  # no wall does it: sun and sky differ by nature
    if level == "good":
        yield WindowClean(level="good", cast=Figure(worst.delta_e or 0.0, "delta_e"))
        return
    yield WindowCast(
        level=level,
        rests_on=_surfaces(worst.worst_surface),
        acts=acts_for(remedies, ("windows",), Word("side", worst.side)),
        side=Word("side", worst.side),
        surface=Word("surface", worst.worst_surface) if worst.worst_surface else None,
        tint=worst.tint,
        cast=Figure(worst.delta_e or 0.0, "delta_e"),
        sky=Word("sky", worst.sky),
        at=worst.at,
    )


def _mixed(found: RoomAssessment) -> Iterator[Finding]:
    """The sky under which the two sides of the face differ more."""
    both = [
        (mixed, sky)
        for mixed, sky in ((found.mixed, "overcast"), (found.mixed_clear, "clear"))
        if mixed is not None and mixed.delta_e_between is not None and mixed.risk not in CLEAN
    ]
    if not both:
        return
    mixed, sky = max(both, key=lambda pair: pair[0].delta_e_between or 0.0)
    yield Mixed(
        level="care" if mixed.risk == "medium" else "problem",
        acts=mixed.acts,
        cast=Figure(mixed.delta_e_between or 0.0, "delta_e"),
        apart=None if mixed.mired_between is None else Figure(abs(mixed.mired_between), "mired"),
        sky=None if mixed.window_cct_k is None else Word("sky", sky),
    )
