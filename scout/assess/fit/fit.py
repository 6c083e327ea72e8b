"""Does it fit: which framings the room allows, and where key, fill and back light can stand without
being seen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from scout.assess.answers import DaylightAnswer, FitAnswer, Placement, PlanLight
from scout.assess.fit.backdrop import backdrop
from scout.assess.fit.findings import verdicts
from scout.assess.fit.flicker import flicker_rows
from scout.assess.fit.framings import framing_rows, tightest_and_widest
from scout.assess.fit.motion import motion
from scout.assess.fit.plan import plan_rows
from scout.assess.fit.words import available_light
from scout.assess.stage.floor import ground, lenses_unknown, stage_of
from scout.assess.stage.kit import roles
from scout.assess.stage.views import fit_views
from scout.calc.light.exposure import FLAT_RECEPTOR_CONSTANT, needed_lux
from scout.records.sheet import RoomSheet

__all__ = ["CAUTIONS", "DEFAULT_RATIO", "fit", "placements", "verdicts"]

DEFAULT_RATIO = 4.0
CAUTIONS = (
    "Sandbag every stand and put its load over one leg; a tall stand or a boom needs two bags and a guard.",
    "Keep every door, stair and way out free for at least 0.9 m, also while lights are being moved.",
    "Hot lights burn hands, curtains and ceilings: leave air round them, let them cool before striking, and never leave them alone.",
    "Keep lights clear of sprinklers and smoke detectors, and never cover or switch these off: ask who runs the building.",
    "Keep mirrors and reflectors out of eyes and away from roads; a still mirror's patch walks about 2 cm a minute at 4 m.",
    "On a ladder: one person, three points of contact, someone holding it; nothing is handed up past shoulder height.",
    "Warn before switching on a bright light or a strobe, and ask whether anybody present is sensitive to flashing light.",
)


def fit(sheet: RoomSheet, daylight: DaylightAnswer | None = None) -> FitAnswer:
    """Framings, three-point plan and the sentence on available light for one room sheet.

    Returns: a row a framing and lens; plan with key, fill, back and bounce; what lacks says
        why. Never raises for a valid sheet.
    """
    floor = ground(sheet.room)
    if (
        sheet.marks is not None
        and sheet.marks.camera is not None
        and sheet.marks.subject is not None
    ):
        floor = replace(floor, heights_m=(sheet.marks.camera[2], sheet.marks.subject[2]))
    stage = stage_of(sheet, floor)
    framings, framing_notes, framing_unknown = framing_rows(sheet, floor)
    needed, needed_notes = _needed(sheet)
    ratio, ratio_notes = _ratio(sheet)
    assumed = [*floor.assumed, *framing_notes]
    answer = FitAnswer(
        framings=framings,
        available_light_first=available_light(daylight, needed),
        needed_lux=needed,
        ratio=ratio,
        flicker=flicker_rows(sheet),
        tightest=tightest_and_widest(sheet, floor),
    )
    lights = tuple(sheet.kit.lights or ()) if sheet.kit is not None else ()
    plan_unknown = stage if isinstance(stage, str) else None
    if plan_unknown is None and not lights:
        plan_unknown = (
            "because no kit is recorded" if sheet.kit is None else "because the kit has no lights"
        )
    unknown = [because for because in (framing_unknown, plan_unknown) if because is not None]
    if not isinstance(stage, str) and stage.views:
        answer = replace(answer, views=fit_views(sheet, stage, floor))
    if plan_unknown is not None or isinstance(stage, str):
        answer = replace(
            answer,
            plan={
                name: PlanLight(unknown=plan_unknown) for name in ("key", "fill", "back", "bounce")
            },
        )
        return replace(answer, assumed=tuple(assumed), unknown=_one(unknown))
    part = roles(lights, stage.subject_m, stage.camera_m)
    assert part.key is not None  # a kit with lights always has a key
    planned = plan_rows(sheet, stage, floor, part, part.key, ratio, needed)
    plan = planned.plan
    assumed += [
        *_normal_note(sheet),
        "the camera points at the subject's mark",
        *ratio_notes,
        *needed_notes,
        *part.told,
        *planned.notes,
    ]
    assumed.append(
        "stands and tripod take 1.0 m circles, the subject keeps 0.5 m free, stands stay 5 % outside the frame, "
        "0.10 m stays free under the ceiling (common practice)"
    )
    if lenses_unknown(sheet) is not None:
        unknown.append(lenses_unknown(sheet) or "")
    answer = replace(
        answer,
        motion=motion(sheet, plan, daylight),
        backdrop=backdrop(sheet, stage, floor, plan, daylight),
    )
    answer = replace(
        answer,
        plan=plan,
        others=planned.others,
        shadow=planned.shadow,
        shadows=planned.shadows,
        boom=planned.boom,
    )
    return replace(answer, assumed=tuple(dict.fromkeys(assumed)), unknown=_one(unknown))


def placements(sheet: RoomSheet, answer: FitAnswer) -> Mapping[str, Placement]:
    """Where every light of the kit stands and points: pinned by the sheet, planned as key, fill or
    back, or assumed for those beyond.

    A light with no place is left out. A light pinned with no aim points at the subject when its
    mark is set.
    """
    subject = sheet.marks.subject if sheet.marks is not None else None
    found: dict[str, Placement] = {}
    for light in (sheet.kit.lights or ()) if sheet.kit is not None else ():
        if light.at_m is not None:
            found[light.id] = Placement(light.id, light.at_m, light.aim_m or subject, "pinned")
    for name in ("key", "fill", "back"):
        row = answer.plan.get(name)
        if (
            row is not None
            and row.light is not None
            and row.at_m is not None
            and row.light not in found
        ):
            found[row.light] = Placement(row.light, row.at_m, row.aim_m, "planned")
    for row in answer.others:
        if row.light is not None and row.at_m is not None and row.light not in found:
            found[row.light] = Placement(row.light, row.at_m, row.aim_m, "assumed")
    return found


def _one(unknown: list[str]) -> str | None:
    reasons = list(dict.fromkeys(unknown))
    return None if not reasons else "; ".join(reasons)


def _ratio(sheet: RoomSheet) -> tuple[float, tuple[str, ...]]:
    given = sheet.kit.ratio if sheet.kit is not None else None
    meaning = "key to fill, each light's own contribution (not key plus fill)"
    if given is None:
        return DEFAULT_RATIO, (f"the ratio is not given: taken as {DEFAULT_RATIO:g}:1, {meaning}",)
    return given, (f"the ratio of {given:g}:1 is {meaning}",)


def _needed(sheet: RoomSheet) -> tuple[float | None, tuple[str, ...]]:
    camera = sheet.kit.camera if sheet.kit is not None else None
    if (
        sheet.kit is None
        or camera is None
        or camera.f_number is None
        or camera.shutter_s is None
        or camera.iso is None
    ):
        return None, ()
    constant = sheet.kit.exposure_constant
    note = f"exposure by ISO 2720 with C = {constant or FLAT_RECEPTOR_CONSTANT:g}" + (
        "" if constant is not None else " (flat receptor)"
    )
    return float(
        needed_lux(
            camera.f_number, camera.shutter_s, camera.iso, float(constant or FLAT_RECEPTOR_CONSTANT)
        )
    ), (note,)


def _normal_note(sheet: RoomSheet) -> tuple[str, ...]:
    given = sheet.marks is not None and sheet.marks.subject_normal is not None
    return () if given else ("the subject's face looks level towards the camera",)
