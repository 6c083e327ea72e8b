"""What the frame holds: shadows, the microphone, the light behind the subject, the walk, and steady
shutters.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import BackdropAnswer, FlickerAnswer, RoomAssessment
from scout.packet.blocks import NOT_KNOWN, Desk
from scout.packet.setting.table import Cell, Column, Ledger, Row
from scout.values import Figure, Many, Said, Word, said
from scout.words import full
from scout.words.figures import Words, number, unknown

WALK = "space.walk"
IN_FRAME = ("space.head_shadow", "space.boom_shadow", "space.boom_in_frame", "space.boom_clear")


def in_frame(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """Shadows, microphone, background and walk in full, and the shutters that do not beat with lamps
    on the mains.
    """
    answer = found.fit
    before = [answer.shadow, *(full(one) for one in found.findings if one.code in IN_FRAME)]
    after: list[Words | None] = [full(one) for one in found.findings if one.code == WALK]
    if answer.motion is not None:
        after += [unknown(answer.motion.unknown), answer.motion.start]
    after += [_shutters(row) for row in answer.flicker]
    parts = (
        *answer.flicker,
        *((answer.motion,) if answer.motion else ()),
        *((answer.boom,) if answer.boom else ()),
        *answer.backdrop,
    )
    desk.assume(sentence for part in parts for sentence in part.assumed)
    made = [
        *desk.sentences(before),
        *_behind(desk, answer.backdrop),
        *desk.sentences(after),
    ]
    return [*desk.heading("In the frame", 60.0), *made] if made else []


def _shutters(row: FlickerAnswer) -> Said:
    shutters = Many(tuple(Figure(s, "shutter_s") for s in row.safe_shutters_s), "list")
    return said("packet.flicker_free", mains=Figure(row.mains_hz, "Hz"), shutters=shutters)


def _behind(desk: Desk, rows: Sequence[BackdropAnswer]) -> list[Flowable]:
    """The light on what stands behind the subject, a row for lenses that see the same; why it is
    unknown once a reason.
    """
    alike: dict[tuple[str, ...], list[float]] = {}
    reasons: dict[Said | None, list[float]] = {}
    for row in rows:
        if row.lux is None:
            reasons.setdefault(row.unknown, []).append(row.focal_length_mm)
            continue
        figures = (
            str(Word("surface", row.surface)),
            number(row.lux, 0, "lux") or "",
            number(row.daylight_lux, 0, "lux") or NOT_KNOWN,
            _stops(row.stops_from_face, "packet.stops_under", "packet.stops_over"),
            _stops(row.stops_seen, "packet.stops_darker", "packet.stops_brighter"),
        )
        alike.setdefault(figures, []).append(row.focal_length_mm)
    columns = [
        Column("Lens", 1.0),
        Column("Behind the subject", 0.9),
        Column("The lamps there", 0.8),
        Column("Overcast noon besides", 1.0),
        Column("Lamps against the key on the face", 1.3),
        Column("As seen, against a grey card in the key", 1.5),
    ]
    lines = [
        Row((Cell(lenses_words(lenses), bold=True), *(Cell(one) for one in figures)))
        for figures, lenses in alike.items()
    ]
    made: list[Flowable] = [Ledger(desk.setter, columns, lines, space_after=4.0)] if lines else []
    if any(row.lux is not None and row.stops_seen is None for row in rows):
        made += desk.sentences(
            [
                "Where it is unknown how bright that looks, what the surface reflects or the light on the face is not measured."
            ]
        )
    return made + desk.sentences(
        said("packet.behind", lenses=lenses_words(lenses), why=why)
        for why, lenses in reasons.items()
        if why
    )


def lenses_words(lenses_mm: Sequence[float]) -> Said:
    """`24 and 35 mm`."""
    return said("packet.lens_list", lenses=Many(tuple(Figure(lens) for lens in lenses_mm)))


def _stops(value: float | None, less: str, more: str) -> str:
    if value is None:
        return NOT_KNOWN
    amount = Figure(abs(value), "stops")
    return str(Said(less if value < 0 else more, (("stops", amount),)))
