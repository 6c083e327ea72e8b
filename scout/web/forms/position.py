"""A position that is more likely a slip than a place is asked about before it is kept: what was
typed stays, and a tick accepts it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

from scout.errors import Refused, RefusedMany
from scout.records.base import Record
from scout.values import Said, said
from scout.web.forms.base import RecordForm
from scout.web.forms.fields import TickField, number_as_typed

R = TypeVar("R", bound=Record)


class ConfirmField(TickField):
    """A box that is drawn once a question stands. It sends back the position it was asked about, so
    that a tick given for one place accepts no other.
    """

    kind = "confirm"
    asked = ""

    @property
    def about(self) -> str:
        """The position that a tick accepts; empty while nothing was asked."""
        return self.asked or self.text

    @property
    def accepted(self) -> bool:
        """Whether the tick given is for the position that stands in the form."""
        return bool(self.text) and self.text == self.about


class PositionForm(RecordForm[R]):
    """A form with latitude and longitude, and beside them the tick `place_confirmed`."""

    def asks(self, latitude_deg: float, longitude_deg: float) -> Said | None:
        """What to ask about a position, None when it needs no question: by itself a form asks
        nothing.
        """
        return None

    def record(self) -> R:
        """The record that was typed. Raises RefusedMany, also where its position has yet to be
        confirmed.
        """
        record = super().record()
        questions = list(self.further(record.model_dump(mode="json", exclude_none=True)))
        if questions:
            raise RefusedMany(questions)
        return record

    def further(self, plain: Mapping[str, Any]) -> Iterator[Refused]:
        """The question about the position, unless it is ticked, or kept so already."""
        lat, lon = plain.get("latitude_deg"), plain.get("longitude_deg")
        if lat is None or lon is None or abs(lat) > 90 or abs(lon) > 180:
            return  # refused already, each by its name
        if self.before is not None and (lat, lon) == (
            getattr(self.before, "latitude_deg", None),
            getattr(self.before, "longitude_deg", None),
        ):
            return
        question = self.asks(lat, lon)
        if question is None:
            return
        field: ConfirmField = self._fields["place_confirmed"]
        field.asked = f"{number_as_typed(lat)}, {number_as_typed(lon)}"
        if not field.accepted:
            yield Refused(
                "place_confirmed",
                None,
                said("refused.position", question=question),
            )
