"""What the frame holds: its closest and widest, shadows, the microphone, the light behind the
subject, the walk, and steady shutters.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import BackdropAnswer, FitAnswer
from scout.packet.blocks import Desk
from scout.packet.setting.table import Cell, Column, Ledger, Row
from scout.packet.words import listed, number, surfaces, unknown


def in_frame(desk: Desk, answer: FitAnswer) -> list[Flowable]:
    """The closest and widest frame, shadows, background and walk, and the shutters that do not beat
    with lamps on the mains.
    """
    said = [
        answer.tightest or "",
        answer.shadow or "",
        answer.boom.told if answer.boom is not None else "",
    ]
    after = (
        [answer.motion.told or unknown(answer.motion.unknown) or "", answer.motion.start or ""]
        if answer.motion is not None
        else []
    )
    after += [
        f"Steady under lamps on {row.mains_hz:g} Hz: {', '.join(f'1/{1 / s:.3g}' for s in row.safe_shutters_s)} s"
        for row in answer.flicker
    ]
    parts = (
        *answer.flicker,
        *((answer.motion,) if answer.motion else ()),
        *((answer.boom,) if answer.boom else ()),
        *answer.backdrop,
    )
    desk.assume(sentence for part in parts for sentence in part.assumed)
    made = [
        *desk.sentences(_raised(said)),
        *_behind(desk, answer.backdrop),
        *desk.sentences(_raised(after)),
    ]
    return [*desk.heading("In the frame", 60.0), *made] if made else []


def _raised(sentences: Sequence[str]) -> list[str]:
    return [f"{words[0].upper()}{words[1:]}" for words in sentences if words]


def _behind(desk: Desk, rows: Sequence[BackdropAnswer]) -> list[Flowable]:
    """The light on what stands behind the subject, a row for lenses that see the same; why it is
    unknown once a reason.
    """
    alike: dict[tuple[str, ...], list[str]] = {}
    reasons: dict[str, list[str]] = {}
    for row in rows:
        lens = f"{row.focal_length_mm:g}"
        if row.lux is None:
            reasons.setdefault(unknown(row.unknown), []).append(lens)
            continue
        lit = number(row.lux, 0, "lx") or "", number(row.daylight_lux, 0, "lx") or "unknown"
        figures = (
            surfaces([row.surface]),
            *lit,
            _stops(row.stops_from_face, "under", "over"),
            _stops(row.stops_seen, "darker", "brighter"),
        )
        alike.setdefault(figures, []).append(lens)
    columns = [
        Column("Lens", 1.0),
        Column("Behind the subject", 0.9),
        Column("The lamps there", 0.8),
        Column("Overcast noon besides", 1.0),
        Column("Lamps against the key on the face", 1.3),
        Column("As seen, against a grey card in the key", 1.5),
    ]
    lines = [
        Row((Cell(f"{listed(lenses)} mm", bold=True), *(Cell(one) for one in figures)))
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
        f"Behind the subject, {listed(lenses)} mm: {why}" for why, lenses in reasons.items() if why
    )


def _stops(value: float | None, less: str, more: str) -> str:
    return "unknown" if value is None else f"{abs(value):.1f} stops {less if value < 0 else more}"
