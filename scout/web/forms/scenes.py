"""The form of a scene: its needs are rows that each show only the fields of their topic."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from scout.records import SceneRecord
from scout.records.kept import NEED_TOPICS, CompassPoint, FramingName, MicSpeech, RiskMost, Strength
from scout.units import parse_number
from scout.values import Word
from scout.web.forms.base import RecordForm, RowForm, Rows, Section, as_shown
from scout.web.forms.fields import (
    ChoiceField,
    DegreesField,
    HiddenField,
    LengthField,
    LongField,
    NumberField,
    TextField,
    WholeField,
    number_as_typed,
)
from scout.web.forms.rooms import TagsField
from scout.web.forms.times import ClockField, DatesField

TOPIC_FIELDS = {
    "when": ("dates", "from_time", "until_time"),
    "floor": ("width_m", "length_m"),
    "height": ("height_m",),
    "framing": ("framing",),
    "noise": ("laeq_db",),
    "daylight": ("want",),
    "colour": ("risk",),
    "watts": ("watts",),
    "access": ("steps", "carry_m", "door_width_m", "step_free"),
    "depth": ("depth_m",),
    "sun": (),
    "facing": ("facing",),
    "lux": ("lux",),
    "sockets": ("sockets",),
    "mic": ("speech",),
    "look": ("tags",),
    "travel": ("km", "from_latitude_deg", "from_longitude_deg"),
    "permit": ("days",),
    "neighbours": (),
    "budget": ("amount", "currency"),
}
TOPIC_CHOICES = [(topic, Word("need", topic)) for topic in NEED_TOPICS]


BENDS = [("2", "soon: near enough is nearly as good"), ("-2", "late: only near counts")]


class BendField(ChoiceField):
    """How the worth of a need rises: a number kept, a word chosen."""

    def read(self) -> float | None:
        """The bend; None: evenly. Raises Refused."""
        return None if self.blank else parse_number(self.text, name=self.short_name)

    def show(self, value: Any) -> None:
        """The choice of that bend, or the number that it is."""
        self.text = "" if value is None else number_as_typed(float(value))


class YesOnlyField(ChoiceField):
    """Asked for, or not."""

    def __init__(self, label: str, **rest: Any) -> None:
        super().__init__(label, choices=[("yes", "yes")], none="not asked for", **rest)

    def read(self) -> bool | None:
        """True, or nothing at all."""
        return True if self.text == "yes" else None

    def show(self, value: Any) -> None:
        """Yes, or nothing."""
        self.text = "yes" if value else ""


class NeedRow(RowForm):
    """One need; which fields it has is decided by its topic."""

    topic = HiddenField("What is needed")
    strength = ChoiceField("It is", Strength, "strength", needed=True, none="choose")
    weight = WholeField(
        "Weight", hint="0 to 100, against what else is preferred; left empty 3", only="wish"
    )
    bend = BendField(
        "Its worth rises", choices=BENDS, none="evenly towards what is asked", only="wish"
    )
    depth_m = LengthField("Clear depth at least", hint="past the furniture, in a lane for a camera")
    facing = ChoiceField("A window faces", CompassPoint, "compass", none="choose")
    lux = NumberField("Light at the mark at least", unit="lux", hint="under cloud at noon")
    sockets = WholeField("Sockets at least")
    speech = ChoiceField("Speech is to be", MicSpeech, "speech", none="choose")
    tags = TagsField("Tags", hint="with commas between")
    km = NumberField("No further than", unit="km", hint="as the crow flies")
    from_latitude_deg = DegreesField("Latitude of where the day starts")
    from_longitude_deg = DegreesField("Longitude of where the day starts")
    days = WholeField("A permit takes at most", unit="days")
    step_free = YesOnlyField("No steps, or a lift")
    dates = DatesField("Dates", rows=2, hint="one a line, such as 2026-05-03 or 3 May")
    from_time = ClockField("From")
    until_time = ClockField("Until")
    width_m = LengthField("Clear floor, one way")
    length_m = LengthField("Clear floor, the other way")
    height_m = LengthField("Ceiling at least")
    framing = ChoiceField("Framing", FramingName, "framing", none="choose")
    laeq_db = NumberField("Noise at most (LAeq)", unit="dB")
    want = ChoiceField(
        "Daylight is", choices=[("wanted", "wanted"), ("shut_out", "to be shut out")], none="choose"
    )
    risk = ChoiceField("Risk of a cast at most", RiskMost, "risk", none="choose")
    watts = NumberField("Power at least", unit="W")
    steps = WholeField("Steps at most")
    carry_m = LengthField("Carry from the van at most")
    door_width_m = LengthField("Narrowest door at least")
    amount = NumberField("Fee at most")
    currency = TextField("Currency", hint="such as EUR")

    @property
    def heading(self) -> Word | str:
        """What the need is about; a topic that is none, as it was sent."""
        topic = self.topic.text
        return Word("need", topic) if topic in NEED_TOPICS else topic

    @property
    def gist(self) -> str:
        """Whether it is required, and the first thing that it asks."""
        asked = (self._fields[name] for name in TOPIC_FIELDS.get(self.topic.text, ()))
        first = next((field for field in asked if not field.blank), None)
        said_of = [self.strength, *([] if first is None else [first])]
        return ", ".join(as_shown(field) for field in said_of if not field.blank)

    @property
    def blank(self) -> bool:
        """A need stands as soon as it has a topic, unless it is to go."""
        return bool(self.gone.text) or not self.topic.text

    def fill(self, plain: Mapping[str, Any]) -> None:
        """Write a kept need; its topic first, for it decides which fields there are."""
        self.topic.show(plain.get("topic"))
        super().fill(plain)

    def own_fields(self) -> Iterator[Any]:
        """The fields of its topic."""
        names = {"topic", "strength", "weight", "bend", *TOPIC_FIELDS.get(self.topic.text, ())}
        return (field for field in super().own_fields() if field.short_name in names)


class SceneForm(RecordForm[SceneRecord]):
    """What must be seen and heard, and what the room must give for it."""

    record_type = SceneRecord
    called = "scene"

    name = TextField("Name", needed=True, wide=True)
    seen = LongField("What must be seen")
    heard = LongField("What must be heard")
    needs = Rows(NeedRow, "Needs", row="need", spare=0, folded=True)

    sections = (
        Section("The scene", ("name", "seen", "heard")),
        Section(
            "What the room must give",
            ("needs",),
            "What is required decides; what is preferred is weighed against the rest that is preferred, and never hidden in a score.",
        ),
    )

    def add_need(self, topic: str) -> None:
        """Add an empty need of a topic."""
        if topic in TOPIC_FIELDS:
            self.needs.widen(1)
            self.needs.entries[-1].form.topic.show(topic)
            self.needs.asked_for = self.needs.entries[-1:]
