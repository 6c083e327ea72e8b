"""How long what the acts hang, lay and gel takes, beside the lights and leads that are planned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from scout.assess.answers import Act, Finding
from scout.values import Value

# minutes an act for two people (common practice); what only bounces ask of a light is left out
HANGS_MIN: Mapping[str, int] = {
    "hang.white": 10,
    "lay.white": 5,
    "stretch.white": 15,
    "hang.blankets": 15,
    "hang.mic": 10,
    "flag.black": 5,
    "flag.lamp": 5,
    "flag.gloss": 5,
    "gel.light": 5,
    "gel.practical": 5,
    "gel.windows": 10,
    "key.daylight": 5,
    "close.covering": 5,
    "cover.windows": 10,
    "cover.pieces": 5,
    "clamp.light": 5,
    "arm.light": 5,
    "soften.light": 5,
}
BOUNCES = (
    "colour.bounce_best",
    "colour.bounce_poor",
)  # what mends a lamp if it is turned at a wall


def hung_min(findings: Iterable[Finding]) -> int:
    """Minutes for what is hung, laid and gelled; what covers one surface for several lights, and
    what several findings ask alike, is done once.
    """
    done: set[tuple[str, Value | tuple[tuple[str, Value | None], ...]]] = set()
    for finding in findings:
        if finding.code in BOUNCES:
            continue
        for act in finding.acts:
            if act.code in HANGS_MIN:
                done.add((act.code, _surface(act)))
    return sum(HANGS_MIN[code] for code, _ in done)


def _surface(act: Act) -> Value | tuple[tuple[str, Value | None], ...]:
    return dict(act.values).get("surface") or act.values
