"""The forms of a place: the location itself and its notes."""

from __future__ import annotations

from typing import Any

from scout.errors import Refused
from scout.records import GateRecord, LocationRecord, NoteRecord
from scout.records.kept import PhoneSignal
from scout.usecases.locations import place_question
from scout.values import Said, said
from scout.web.forms.base import Group, GroupForm, RecordForm, RowForm, Rows, Section
from scout.web.forms.fields import (
    ChoiceField,
    DegreesField,
    EmailField,
    LengthField,
    LongField,
    NumberField,
    ShareField,
    TextField,
    WholeField,
    YesNoField,
)
from scout.web.forms.position import ConfirmField, PositionForm
from scout.web.forms.times import ClockField, DateField, DatesField

DAYS = [
    ("mon", "Monday"),
    ("tue", "Tuesday"),
    ("wed", "Wednesday"),
    ("thu", "Thursday"),
    ("fri", "Friday"),
    ("sat", "Saturday"),
    ("sun", "Sunday"),
]


class ContactRow(RowForm):
    """Somebody to call."""

    name = TextField("Name", needed=True)
    role = TextField("Role", hint="owner, caretaker, keys, neighbour")
    phone = TextField("Phone")
    email = EmailField("E-mail")
    note = TextField("Note")


class WeekRow(RowForm):
    """Weekdays that share their hours."""

    first = ChoiceField("From", choices=DAYS, none="choose")
    last = ChoiceField("To", choices=DAYS, none="that day alone")
    opens = ClockField("Opens")
    closes = ClockField("Closes")


class DateRow(RowForm):
    """A date with hours of its own."""

    on = DateField("Date")
    opens = ClockField("Opens")
    closes = ClockField("Closes")


class OpeningForm(GroupForm):
    """When the place is open to us."""

    week = Rows(
        WeekRow,
        "By weekday",
        row="stretch of days",
        hint="a day that is not named is closed; closing at 00:00 is midnight",
    )
    dates = Rows(DateRow, "Dates with hours of their own", row="date", spare=0)
    closed_on = DatesField(
        "Closed on", rows=2, hint="dates, one a line, such as 2026-05-03 or 3 May"
    )


class FreeRow(WeekRow):
    """Weekdays on which parking is free at the same hours."""

    opens = ClockField("Free from")
    closes = ClockField("Free until")


class FreeDateRow(DateRow):
    """A date on which parking is free at hours of its own."""

    opens = ClockField("Free from")
    closes = ClockField("Free until")


class ParkingForm(GroupForm):
    """When our vans may stand there."""

    week = Rows(
        FreeRow,
        "By weekday",
        row="stretch of days",
        hint="a day that is not named is not free; until 00:00 is midnight",
    )
    dates = Rows(FreeDateRow, "Dates with hours of their own", row="date", spare=0)
    closed_on = DatesField(
        "Not free on", rows=2, hint="dates, one a line, such as 2026-05-03 or 3 May"
    )


class SpotForm(GroupForm):
    """A point out of doors."""

    latitude_deg = DegreesField("Latitude")
    longitude_deg = DegreesField("Longitude")


class LocationForm(PositionForm[LocationRecord]):
    """A place with rooms in it."""

    record_type = LocationRecord
    called = "location"

    name = TextField("Name", needed=True, wide=True)
    address = LongField("Address", rows=2)
    latitude_deg = DegreesField("Latitude", hint="52.2, south negative; or paste both: 52.2, 0.12")
    longitude_deg = DegreesField("Longitude", hint="0.12, west negative; or 0°7'12\"E")
    place_confirmed = ConfirmField("Yes, the place is there")
    elevation_m = LengthField("Elevation above the sea")
    timezone = TextField(
        "Time zone",
        hint="left empty it is looked up from the coordinates; else a name such as Europe/London",
    )
    ground_reflectance = ShareField(
        "Light the ground outside throws back",
        hint="0 to 1; grass about 0.2, snow 0.8; left empty 0.2 is assumed and said",
    )
    emergency_care = LongField(
        "Nearest emergency care",
        rows=2,
        hint="name, address, phone, and from when to when it is open",
    )
    hazards = LongField(
        "Hazards", hint="edges, water, low beams, asbestos, animals, traffic, bad wiring"
    )
    contacts = Rows(ContactRow, "Contacts", row="contact", folded=True)
    door_width_m = LengthField("Narrowest door, width")
    door_height_m = LengthField("Narrowest door, height")
    steps = WholeField("Steps on the way in", hint="0 when there are none")
    has_lift = YesNoField("Lift")
    lift_width_m = LengthField("Lift, width")
    lift_depth_m = LengthField("Lift, depth")
    lift_height_m = LengthField("Lift, height of its door")
    door_at = Group(SpotForm, "The door where kit goes in")
    parking_at = Group(SpotForm, "Where the van parks")
    parking_distance_m = LengthField("Carry from where a van can stop")
    load_in = LongField("Load-in", hint="which door, which way round, who opens")
    parking = LongField("Parking", hint="how many, how high, until when, what it costs")
    parking_hours = Group(
        ParkingForm, "Parking is free", hint="held against the calls and the day's last strike"
    )
    opening_hours = Group(
        OpeningForm, "Opening hours", hint="held against the dates and hours of a scene"
    )
    hours = LongField(
        "Hours in words",
        hint="what the times do not say: who opens, when it is noisy, what ends early",
    )
    permits = LongField("Permits")
    permit_lead_days = WholeField("A permit takes", unit="days", hint="0 when none is needed")
    permit_granted = YesNoField("Permit granted", hint="until it is, a day too near is warned of")
    quiet_from = ClockField("Neighbours want quiet from")
    quiet_until = ClockField(
        "Neighbours want quiet until", hint="the same time in both: never, nobody lives near"
    )
    fee_amount = NumberField("Fee")
    fee_currency = TextField("Currency", hint="three capital letters, such as EUR or GBP")
    fee_note = TextField("What the fee covers")
    house_rules = LongField("House rules")
    restrooms = LongField("Restrooms", rows=2)
    holding = LongField("Holding", rows=2, hint="where cast, crew and kit wait")
    phone_signal = ChoiceField("Phone signal", PhoneSignal, "signal")

    sections = (
        Section(
            "The place",
            (
                "name",
                "address",
                "latitude_deg",
                "longitude_deg",
                "place_confirmed",
                "elevation_m",
                "timezone",
            ),
        ),
        Section(
            "Safety",
            ("emergency_care", "hazards"),
            "Printed on the location's page of the packet, loudly when it is not recorded.",
        ),
        Section("Contacts", ("contacts",)),
        Section(
            "Getting in",
            (
                "load_in",
                "door_width_m",
                "door_height_m",
                "steps",
                "has_lift",
                "lift_width_m",
                "lift_depth_m",
                "lift_height_m",
                "parking",
                "parking_hours",
                "door_at",
                "parking_at",
                "parking_distance_m",
            ),
            folded=True,
        ),
        Section("Hours", ("opening_hours", "hours"), folded=True),
        Section(
            "Using it",
            (
                "permits",
                "permit_lead_days",
                "permit_granted",
                "quiet_from",
                "quiet_until",
                "fee_amount",
                "fee_currency",
                "fee_note",
                "house_rules",
                "restrooms",
                "holding",
                "phone_signal",
            ),
            folded=True,
        ),
        Section("Light from the ground", ("ground_reflectance",), folded=True),
    )

    def gathered(self) -> tuple[dict[str, Any], list[Refused]]:
        """What could be read; a fee is asked for its currency."""
        plain, refusals = super().gathered()
        if "fee_amount" in plain and "fee_currency" not in plain:
            refusals.append(Refused("fee_currency", None, said("refused.no_currency")))
        return plain, refusals

    def asks(self, latitude_deg: float, longitude_deg: float) -> Said | None:
        """A place at sea, at a pole or at 0, 0 is asked about."""
        return place_question(latitude_deg, longitude_deg)


class NoteForm(RecordForm[NoteRecord]):
    """What somebody wrote."""

    record_type = NoteRecord
    called = "note"

    text = LongField("Note", rows=5, needed=True)
    audience = ChoiceField(
        "Who may read it",
        choices=[
            ("crew", "the crew; it enters the packet"),
            ("private", "us alone; it never enters a packet"),
        ],
        none="",
    )

    sections = (Section("", ("text", "audience")),)


class GateForm(RecordForm[GateRecord]):
    """A code. What is kept is never written into it."""

    record_type = GateRecord

    label = TextField("What it opens", needed=True, hint="garden gate, alarm, key box")
    code = TextField("Code", needed=True)
    note = LongField("Note", hint="how the lock wants it, who holds the key; sealed with the code")

    sections = (Section("", ("label", "code", "note")),)
