"""What the bounce figures mean on the day: one finding for all the lights of which the same holds."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar, TypeVar

from scout.assess.answers import (
    BounceAnswer,
    Finding,
    Level,
    Risk,
    RoomAssessment,
    SurroundAnswer,
    WindowLightAnswer,
    act,
)
from scout.assess.answers.finding import Topic
from scout.assess.bounce.remedies import acts_for, off
from scout.assess.bounce.worst import best_of, worst_of
from scout.assess.setup import Setup
from scout.calc.bounce.shift import POINTLESS_STOPS
from scout.records.sheet import RoomSheet
from scout.values import (
    ColourCast,
    Figure,
    Many,
    Mired,
    Name,
    Said,
    Stops,
    Unit,
    Value,
    Word,
    said,
    words,
)
from scout.values import names as as_names

# a shadow this far under the key is near black in most grades (common practice): its colour hardly
# shows
DEEP_SHADOW_STOPS = 4.0
CLEAN: tuple[Risk | None, ...] = ("none", "low")
Item = TypeVar("Item")


@dataclass(frozen=True, kw_only=True)
class _Colour(Finding):
    topic: ClassVar[Topic] = "colour"


@dataclass(frozen=True, kw_only=True)
class BounceBest(_Colour):
    """The surface to bounce lights off, what it costs and what it does to skin.

    Why:    a bounce is the softest light there is, and the wall that serves it is not the nearest.
    Level:  good; care where the cast on the best surface is medium.
    Source: ranked by assess.bounce.worst.best_of: worth the lamp, not from below, colour, loss.
    """

    code = "colour.bounce_best"
    levels = ("care", "good")
    lights: Many
    surface: Word
    loss: Stops
    cast: ColourCast
    tint: Word | None  # None: no cast to see
    avoid: Many | None  # the surfaces that colour skin


@dataclass(frozen=True, kw_only=True)
class BouncePoor(_Colour):
    """No surface of the room is worth bouncing these lights off.

    Why:    it is found out with the stand up and the talent waiting.
    Level:  care: nobody has to bounce.
    Source: beyond 5 stops the lamp is wasted; a high class of cast (calc.bounce.shift.risk_of).
    """

    code = "colour.bounce_poor"
    levels = ("care",)
    lights: Many
    surface: Word  # the best of them
    loss: Stops
    cast: ColourCast | None  # None: a surface is not measured, the loss alone decides
    tint: Word | None


@dataclass(frozen=True, kw_only=True)
class SpillLit(_Colour):
    """The room colours the side of the face that the light falls on.

    Why:    the camera is balanced to the lamp, so skin turns.
    Level:  by the class of cast: medium care, high problem.
    Source: calc.bounce.shift.risk_of (CIE TN 001, ANSI C78.377).
    """

    code = "colour.spill_lit"
    levels = ("problem", "care")
    lights: Many
    surface: Word | None
    tint: Word | None  # None: a surface is not measured, the others do it alone
    cast: ColourCast


@dataclass(frozen=True, kw_only=True)
class SpillShadow(_Colour):
    """A wall turns the shadow side of the face.

    Why:    what fills the shadow is the room, not the lamp; no white balance mends one cheek.
    Level:  by the class of cast: medium care, high problem; care in a shadow 4 stops down.
    Source: as for the lit side; a shadow 4 stops down is near black (common practice).
    """

    code = "colour.spill_shadow"
    levels = ("problem", "care")
    lights: Many
    surface: Word | None
    tint: Word | None
    cast: ColourCast
    contrast: Stops | None  # how far it lies under the lit side


@dataclass(frozen=True, kw_only=True)
class SpillClean(_Colour):
    """What the room adds to these lights keeps its colour on both sides of the face.

    Why:    nothing has to be hung.
    Level:  good.
    Source: classes none and low of calc.bounce.shift.risk_of.
    """

    code = "colour.spill_clean"
    levels = ("good",)
    lights: Many
    cast: ColourCast


@dataclass(frozen=True, kw_only=True)
class WindowCast(_Colour):
    """Walls colour the daylight that comes in through the windows.

    Why:    daylight off a coloured wall is no daylight, and a film set to it is wrong.
    Level:  by the class of cast of the worse side; care in a shadow 4 stops down.
    Source: calc.bounce.shift.risk_of, by the hour and sky of the setup that are worst.
    """

    code = "colour.window_cast"
    levels = ("problem", "care")
    side: Word
    surface: Word | None
    tint: Word | None
    cast: ColourCast
    sky: Word
    at: datetime


@dataclass(frozen=True, kw_only=True)
class WindowClean(_Colour):
    """Daylight keeps its colour on both sides of the face.

    Why:    the windows can be used as they are.
    Level:  good.
    Source: classes none and low of calc.bounce.shift.risk_of.
    """

    code = "colour.window_clean"
    levels = ("good",)
    cast: ColourCast


@dataclass(frozen=True, kw_only=True)
class Mixed(_Colour):
    """Lamps and daylight of unlike colour on the two sides of the face.

    Why:    one white balance serves one cheek.
    Level:  by the class of the difference: medium care, high problem.
    Source: calc.bounce.shift.risk_of, camera balanced to the key side.
    """

    code = "colour.mixed"
    levels = ("problem", "care")
    cast: ColourCast
    apart: Mired | None
    sky: Word | None


@dataclass(frozen=True, kw_only=True)
class Unknown(_Colour):
    """What the room does to the colour of these lights cannot be told.

    Why:    a coloured wall shows in the grade, when nobody can hang white any more.
    Level:  unknown.
    Source: no bound helps: a wall may have any colour.
    """

    code = "colour.unknown"
    levels = ("unknown",)
    lights: Many
    because: Said


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What the room does to the colour of the lights and of daylight; outdoors nothing."""
    if setup.sheet.room.setting == "exterior":
        return ()
    return (
        *_spills(setup.sheet, found),
        *_bounces(found),
        *_windows(found.window_surround or ()),
        *_mixed(found),
    )


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
        return "good"
    deep = row.side == "shadow" and (row.contrast_stops or 0.0) >= DEEP_SHADOW_STOPS
    return "care" if row.risk == "medium" or deep else "problem"


def _lights(rows: Iterable[BounceAnswer | SurroundAnswer]) -> Many:
    return as_names(dict.fromkeys(row.light for row in rows))


def _cast(rows: Sequence[BounceAnswer | SurroundAnswer | WindowLightAnswer]) -> ColourCast:
    """The worst cast of some rows, with all that their doubts reach."""
    ends = [
        end
        for row in rows
        for end in (
            *((row.delta_e,) if row.delta_e is not None else ()),
            *(getattr(row, "delta_e_range", None) or ()),
        )
    ]
    worst = max((row.delta_e for row in rows if row.delta_e is not None), default=max(ends))
    return Figure(worst, "delta_e", min(ends), max(ends))


def _span(values: Iterable[float], unit: Unit) -> Figure:
    given = tuple(values)
    return Figure(max(given), unit, min(given), max(given))


def _surfaces(*names: str | None) -> tuple[str, ...]:
    return tuple(f"room.surfaces.{name}.colour" for name in dict.fromkeys(names) if name)


def _word(surface: str | None) -> Word | None:
    return Word("surface", surface) if surface else None


# -- spill


def _spills(sheet: RoomSheet, found: RoomAssessment) -> Iterator[Finding]:
    judged = [row for row in found.surround if row.risk is not None]
    for (side, level, surface, tint), rows in grouped(
        (row for row in judged if level_of(row) != "good"),
        lambda row: (row.side, level_of(row), row.worst_surface, row.tint),
    ):
        acts = acts_for(found.remedies or (), (row.light for row in rows), Word("side", side))
        yield _spill(side, level, rows, surface, tint, acts)
    bad = {row.light for row in judged if level_of(row) != "good"}
    clean = [row for row in judged if row.light not in bad]
    if clean:
        yield SpillClean(
            level="good", lights=_lights(clean), cast=_cast(clean), about=_lights(clean).items
        )
    yield from _not_judged(sheet, [row for row in found.surround if row.risk is None])


def _spill(
    side: str,
    level: Level,
    rows: list[SurroundAnswer],
    surface: str | None,
    tint: Word | None,
    acts: Any = (),
) -> Finding:
    lights = _lights(rows)
    values: dict[str, Any] = {
        "level": level,
        "about": lights.items,
        "rests_on": _surfaces(surface),
        "acts": acts,
        "lights": lights,
        "surface": _word(surface),
        "tint": tint,
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
        acts = _measures(sheet, (those[0].unknown,), ())
        yield _spill(side, level, those, None, None, acts)
    told = {row.light for row in certain}
    for because, those in grouped(
        (row for row in rows if row.light not in told and row.unknown is not None),
        lambda row: row.unknown if isinstance(row.unknown, Said) else None,
    ):
        lights = _lights(those)
        if because is None or because.code == "bounce.no_light_here":
            continue
        yield Unknown(
            level="unknown",
            about=lights.items,
            rests_on=tuple(_paths(sheet, because, lights)),
            acts=_measures(sheet, (because,), lights.items),
            lights=lights,
            because=because,
        )


def _certain(row: SurroundAnswer) -> Level | None:
    """The level that an unmeasured surface cannot change: a coloured one only adds to a high cast."""
    if row.risk_range is None or row.risk_range[0] != "high":
        return None
    if row.side == "key":
        return "problem"
    deep = {end >= DEEP_SHADOW_STOPS for end in row.contrast_stops_range or (0.0,)}
    return None if len(deep) == 2 else "care" if deep == {True} else "problem"


# what to look at where a light stands wrong; to place it is no measuring
PLACED = {"bounce.no_place", "bounce.outside", "bounce.on_the_mark", "bounce.aimed_at_itself"}


def _facts(because: Said) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What ends a doubt: paths of the sheet, and facts of the light in question."""
    if because.code == "bounce.reasons":
        parts = [_facts(one) for one in because["reasons"]]
        return tuple(p for one, _ in parts for p in one), tuple(f for _, one in parts for f in one)
    if because.code == "unmeasured":
        return tuple(fact.key for fact in because["facts"]), ()
    if because.code == "bounce.unusable":
        return (because["fact"].key,), ()
    if because.code == "bounce.subject_on_a_surface":
        return ("marks.subject",), ()
    if because.code == "bounce.light_unmeasured":
        return (), tuple(fact.key for fact in because["facts"])
    return (), ("at_m",) if because.code in PLACED else ()


def _paths(sheet: RoomSheet, because: Said, lights: Many) -> Iterator[str]:
    paths, of_light = _facts(because)
    yield from (path if path.startswith(("room.", "marks.")) else f"room.{path}" for path in paths)
    wanted = {light.text for light in lights if isinstance(light, Name)}
    kit = sheet.kit.lights if sheet.kit is not None and sheet.kit.lights else ()
    for k, light in enumerate(kit):
        if light.id in wanted:
            yield from (f"kit.lights[{k}].{fact}" for fact in of_light)


def _measures(
    sheet: RoomSheet, reasons: Iterable[Any], lights: tuple[Value, ...]
) -> tuple[Any, ...]:
    """To measure what is missing: it buys certainty."""
    facts: list[Value] = []
    for because in reasons:
        if isinstance(because, Said) and because.code not in PLACED:
            paths, of_light = _facts(because)
            facts += [Word("fact", path) for path in paths]
            if of_light and lights:
                facts.append(
                    said("bounce.facts_of", facts=words("fact", of_light), lights=Many(lights))
                )
    return (act("measure", facts=Many(tuple(dict.fromkeys(facts)))),) if facts else ()


# -- bounces


def _bounces(found: RoomAssessment) -> Iterator[Finding]:
    by_light = dict(grouped(found.bounce, lambda row: row.light))
    best = [one for rows in by_light.values() if (one := best_of(rows)) is not None]
    for (poor, surface, level, tint), rows in grouped(
        best, lambda row: (_is_poor(row), row.surface, _bounce_level(row), _seen_tint(row))
    ):
        lights = _lights(rows)
        shared: dict[str, Any] = {
            "level": level,
            "about": lights.items,
            "rests_on": _surfaces(surface),
            "acts": acts_for(found.remedies or (), (row.light for row in rows), off(surface)),
            "lights": lights,
            "surface": Word("surface", surface),
            "loss": _span((row.loss_stops or 0.0 for row in rows), "stops"),
            "cast": _cast(rows),
            "tint": tint,
        }
        if poor:
            yield BouncePoor(**shared)
            continue
        coloured = {
            row.surface
            for light in rows
            for row in by_light[light.light]
            if row.risk not in (*CLEAN, None) and row.surface != surface
        }
        avoid = [row.surface for row in by_light[rows[0].light] if row.surface in coloured]
        yield BounceBest(avoid=words("surface", avoid) if avoid else None, **shared)
    dark = [rows for rows in by_light.values() if best_of(rows) is None]
    hopeless = [one for rows in dark if (one := _least_loss(rows)) is not None]
    for surface, rows in grouped(hopeless, lambda row: row.surface):
        lights = _lights(rows)
        ranges = [row.loss_stops_range or (0.0, 0.0) for row in rows]
        yield BouncePoor(
            level="care",
            about=lights.items,
            rests_on=_surfaces(surface),
            lights=lights,
            surface=Word("surface", surface),
            loss=_span((end for ends in ranges for end in ends), "stops"),
            cast=None,
            tint=None,
        )


def _is_poor(row: BounceAnswer) -> bool:
    return row.risk == "high" or (row.loss_stops or 0.0) > POINTLESS_STOPS


def _bounce_level(row: BounceAnswer) -> Level:
    return "good" if row.risk in CLEAN and not _is_poor(row) else "care"


def _seen_tint(row: BounceAnswer) -> Word | None:
    return None if row.risk == "none" else row.tint


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


def _windows(rows: Sequence[WindowLightAnswer]) -> Iterator[Finding]:
    """By the worst of the hours; a cast that a deep shadow hides gives way to one that shows."""
    judged = [row for row in rows if row.risk is not None]
    worst = worst_of(row for row in judged if level_of(row) == "problem") or worst_of(judged)
    if worst is None:
        return
    level = level_of(worst)
    if level == "good":
        yield WindowClean(level="good", cast=Figure(worst.delta_e or 0.0, "delta_e"))
        return
    yield WindowCast(
        level=level,
        rests_on=_surfaces(worst.worst_surface),
        side=Word("side", worst.side),
        surface=_word(worst.worst_surface),
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
