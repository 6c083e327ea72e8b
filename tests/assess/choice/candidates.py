"""Rooms made up for tests of the choice, one need of theirs judged, and what its cell says."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from typing import Any

from scout.assess import answers as a
from scout.assess.choice.cells import CandidateFacts, NeedCell
from scout.assess.choice.compare import compare
from scout.records import CandidateRecord, LocationRecord, RoomRecord, SceneRecord
from scout.records.sheet import Kit, RoomSheet
from scout.values import Many, Said

ON = date(2026, 6, 21)
# reasons of other families, whatever they are
WHY, OTHER = Said("value.missing"), Said("need.none")
NO_CAMERA = Said("need.no_lens")
ZONE = timezone(timedelta(hours=1))


def at(hour: int, minute: int = 0, day: int = 21) -> datetime:
    return datetime(2026, 6, day, hour, minute, tzinfo=ZONE)


def assessed(**blocks: Any) -> a.RoomAssessment:
    """An assessment in which nothing is known but what is given."""
    nothing: dict[str, Any] = {
        "date": ON,
        "sheet": RoomSheet(schema="room-sheet/1", room=RoomRecord(name="-")),
        "timezone": "Europe/London",
        "events": a.EventsAnswer(),
        "windows": (),
        "daylight": a.DaylightAnswer(unknown=WHY),
        "bounce": (),
        "surround": (),
        "sound": a.SoundAnswer(),
        "power": a.PowerAnswer(),
        "fit": a.FitAnswer(unknown=NO_CAMERA),
        "cautions": (),
        "blocks": {"surround": a.BlockNote(unknown=OTHER)},
        "placements": {},
    }
    return a.RoomAssessment(**{**nothing, **blocks})


def candidate(
    key: int = 1,
    *,
    room: dict[str, Any] | None = None,
    place: dict[str, Any] | None = None,
    kit: Kit | None = None,
    state: str = "proposed",
    **blocks: Any,
) -> CandidateFacts:
    return CandidateFacts(
        key,
        key,
        f"Room {key}",
        CandidateRecord.read({"state": state}),
        LocationRecord.read({"name": "Mill", **(place or {})}),
        RoomRecord.read(room or {}),
        assessed(**blocks),
        kit,
    )


def judged(
    need: dict[str, Any],
    facts: CandidateFacts | None = None,
    *,
    also: tuple[dict[str, Any], ...] = (),
) -> Any:
    """The cell of one need for one room."""
    needs = [{"strength": "must", **n} for n in (need, *also)]
    return (
        compare(
            SceneRecord.read({"name": "Talk", "needs": needs}),
            ON,
            [facts or candidate()],
        )
        .rows[0]
        .cells[0]
    )


def codes(value: Any) -> list[str]:
    """The codes of a message and of those in it."""
    if isinstance(value, Many):
        return [code for part in value for code in codes(part)]
    if not isinstance(value, Said):
        return []
    return [value.code, *(code for _, part in value.values for code in codes(part))]


def value_in(value: Any, name: str) -> Any:
    """The value of that name in a message, or in one that it holds."""
    if isinstance(value, Many):
        return next((one for part in value if (one := value_in(part, name)) is not None), None)
    if not isinstance(value, Said):
        return None
    own = dict(value.values)
    if name in own:
        return own[name]
    return value_in(Many(tuple(part for part in own.values() if part is not None)), name)


def check(cell: NeedCell, level: str, figure: Any, why: str) -> None:
    """figure: the value itself, a code in it, or None for whatever it is."""
    assert cell.level == level, cell
    if isinstance(figure, str):
        assert figure in codes(cell.figure), cell
    elif figure is not None:
        assert cell.figure == figure, cell
    assert why in codes(cell.why), cell


NOT_MEASURED, NOT_RECORDED = "need.not_measured", "need.not_recorded"


def scene(*needs: dict[str, Any]) -> SceneRecord:
    return SceneRecord.read({"name": "Talk", "needs": list(needs)})
