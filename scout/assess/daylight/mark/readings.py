"""Predicted and read: a light reading at a mark beside the prediction for its sky and minute, and
what it makes of the model.

A reading scales the light of its kind of sky at every mark, by as much as it is surer than the
model: both are doubts of a logarithm, and the share believed is the model's square over both
squares. Where they disagree by more than both doubts it is the record that is wrong, and the
reading is followed. What turns with the hour (the facing) is not learnt from one instant and counts
as doubt of the reading. Taking the reading away, or saying that it does not count, gives the model
back as it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np

from scout.assess.answers import DaylightAnswer, MarkDaylight, ReadAnswer, unmeasured
from scout.assess.daylight.mark import marks as predicted
from scout.assess.daylight.mark.scaling import Scale, common_half
from scout.assess.daylight.place.where import place_of
from scout.records.sheet import LightReading, RoomSheet
from scout.values import Figure, Said, Word, names, said

# Common practice: a light meter, a phone's own sensor; a card on one photo, because phones map
# tones locally.
DOUBT_STOPS = {"meter": 0.2, "phone_app": 0.5, "card_photo": 1.0}
UNKNOWN_WAY_STOPS = 1.0
# what differs from hour to hour under one kind of sky besides the doubts of the inputs: where on
# the sky and the floor the light comes from
OTHER_HOUR = 0.08


@dataclass(frozen=True)
class _Beside:
    """A reading that can be set beside a prediction: half widths as ratios."""

    reading: LightReading
    answer: ReadAnswer
    off: float
    of_reading: float
    of_model: float

    @property
    def open_by(self) -> float:
        """The model's doubt; where both disagree by more than their doubts, what was recorded is
        further off than it was said to be, and so much is left open.
        """
        return max(self.of_model, float(np.sqrt(max(self.off**2 - self.of_reading**2, 0.0))))


def marks(sheet: RoomSheet, on: date) -> DaylightAnswer:
    """The daylight at every mark, scaled by the readings of the room that count."""
    readings = sheet.room.readings or ()
    if not readings:
        return predicted.marks(sheet, on)
    beside, scales = _scaling(sheet)
    answer = predicted.marks(_bare(sheet), on, scales)
    rows = []
    for row in beside:
        if isinstance(row, ReadAnswer):
            rows.append(row)
            continue
        scale = scales.get(row.reading.sky or "")
        rows.append(
            replace(row.answer, believed_pct=_believed(row) if scale and _counts(row) else 0.0)
        )
    said_of = tuple(
        said(
            "light.scaled",
            sky=Word("sky", sky),
            times=Figure(float(np.exp(scale.by)), "ratio"),
            readings=names(
                row.reading.id
                for row in beside
                if isinstance(row, _Beside) and _counts(row) and row.reading.sky == sky
            ),
        )
        for sky, scale in scales.items()
    )
    return replace(answer, readings=tuple(rows), assumed=(*answer.assumed, *said_of))


def marks_otherwise(sheet: RoomSheet, as_read: RoomSheet, on: date) -> DaylightAnswer:
    """The daylight at every mark of a sheet that was changed, scaled as the readings of the room
    before the change have it.
    """
    return predicted.marks(_bare(sheet), on, _scaling(as_read)[1])


def _bare(sheet: RoomSheet) -> RoomSheet:
    return sheet.model_copy(update={"room": sheet.room.model_copy(update={"readings": ()})})


def _scaling(sheet: RoomSheet) -> tuple[list[_Beside | ReadAnswer], Mapping[str, Scale]]:
    """The readings beside what was predicted, and by kind of sky what they make of it."""
    bare, days = _bare(sheet), dict[date, DaylightAnswer]()
    beside = [_beside(bare, reading, days) for reading in sheet.room.readings or ()]
    return beside, _scales([row for row in beside if isinstance(row, _Beside)])


def _counts(row: _Beside) -> bool:
    return row.reading.counts is not False


def _beside(
    sheet: RoomSheet, reading: LightReading, days: dict[date, DaylightAnswer]
) -> _Beside | ReadAnswer:
    """A reading with what was predicted for its sky, mark and minute, or why there is none."""
    blank = ReadAnswer(id=reading.id, mark=reading.mark, sky=reading.sky, lux=reading.lux)
    if missing := [
        f"readings.{reading.id}.{name}"
        for name in ("mark", "sky", "taken_at", "lux")
        if getattr(reading, name) is None
    ]:
        return replace(blank, unknown=unmeasured(*missing))
    assert reading.taken_at is not None
    assert reading.lux is not None
    at = datetime.fromisoformat(reading.taken_at).astimezone(place_of(sheet.location).zone)
    blank = replace(blank, at=at, plane=reading.plane or "level")
    day = days.get(at.date())
    if day is None:
        day = days[at.date()] = predicted.marks(sheet, at.date())
    row = day.marks.get(reading.mark or "")
    if row is None or not row.series:
        why = day.unknown if row is None else row.unknown
        return replace(blank, unknown=why or said("light.noon_in_twilight"))
    name = f"{'camera_' if reading.plane == 'camera' else ''}{reading.sky}"
    found = _at(row, name, at)
    if isinstance(found, Said):
        return replace(blank, unknown=found)
    value, low, high = found
    stops = reading.doubt_stops
    if stops is None:
        stops = DOUBT_STOPS.get(reading.how or "", UNKNOWN_WAY_STOPS)
    of_reading = stops * float(np.log(2.0))
    off = float(np.log(reading.lux / value))
    answer = replace(
        blank,
        range_lux=(reading.lux * 2.0**-stops, reading.lux * 2.0**stops),
        predicted_lux=round(value, 1),
        predicted_range_lux=(round(low, 1), round(high, 1)),
        off_stops=round(off / float(np.log(2.0)), 2),
    )
    of_model = common_half(row, "camera_" if reading.plane == "camera" else "")
    wide = float(np.log(high / low)) / 2.0 if low > 0 else of_model
    turning = max(wide**2 - of_model**2, 0.0)
    of_reading = float(np.sqrt(of_reading**2 + turning + OTHER_HOUR**2))
    return _Beside(reading, answer, off, of_reading, of_model)


def _at(row: MarkDaylight, name: str, at: datetime) -> tuple[float, float, float] | Said:
    """The prediction at an instant, between the steps of the day, with its range."""
    known = [
        (point.at.timestamp(), value, *ends)
        for point in row.series
        if (value := getattr(point, f"{name}_lux"))
        and (ends := getattr(point, f"{name}_range_lux"))
    ]
    if not known or not known[0][0] <= at.timestamp() <= known[-1][0]:
        return said("light.read_at_night", at=at)
    steps = np.array(known)
    value, low, high = (
        float(np.interp(at.timestamp(), steps[:, 0], column)) for column in steps.T[1:]
    )
    return value, low, high


def _believed(row: _Beside) -> float:
    squares = row.open_by**2 + row.of_reading**2
    return round(100.0 * row.open_by**2 / squares, 1) if squares > 0 else 0.0


def _scales(rows: list[_Beside]) -> Mapping[str, Scale]:
    """For each sky that was read: the model's logarithm and those of its readings, weighted by the
    squares of their doubts.
    """
    found = {}
    for sky in ("overcast", "clear"):
        own = [row for row in rows if row.reading.sky == sky and _counts(row) and row.of_model > 0]
        if not own:
            continue
        model = 1.0 / max(row.open_by for row in own) ** 2
        weights = [1.0 / row.of_reading**2 for row in own]
        whole = model + sum(weights)
        by = sum(row.off * weight for row, weight in zip(own, weights, strict=True)) / whole
        found[sky] = Scale(by, float(1.0 / np.sqrt(whole)) / max(row.of_model for row in own))
    return found
