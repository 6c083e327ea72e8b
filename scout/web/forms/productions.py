"""The forms of a job: production with crew and kit, candidates, and the packet."""

from __future__ import annotations

from scout.records import CandidateRecord, ProductionRecord
from scout.records.kept import CandidateState
from scout.records.kit import (
    LightSpectrum,
    LightSupply,
    MicKind,
    ReflectorFace,
    ShortLight,
    SpeechEffort,
)
from scout.web.forms.base import Group, GroupForm, RecordForm, RowForm, Rows, Section
from scout.web.forms.camera_fields import ShutterField, StopField
from scout.web.forms.fields import (
    ChoiceField,
    LengthField,
    LongField,
    NumberField,
    PlaceField,
    ShareField,
    TextField,
)
from scout.web.forms.lines import NumbersField
from scout.web.forms.times import ClockField, DatesField


class CrewRow(RowForm):
    """Somebody on the crew list."""

    name = TextField("Name", needed=True)
    role = TextField("Role")
    phone = TextField("Phone")
    call_time = ClockField("Call time")


class CameraForm(GroupForm):
    """The camera."""

    sensor_width_mm = NumberField("Sensor width", unit="mm", hint="of the recorded format")
    sensor_height_mm = NumberField("Sensor height", unit="mm")
    focal_lengths_mm = NumbersField(
        "Focal lengths", unit="mm", hint="with spaces between: 24 35 50 85"
    )
    iso = NumberField("ISO")
    f_number = StopField("Aperture", hint="f/2.8")
    shutter_s = ShutterField(
        "Shutter", hint="1/50, 50, or 180° at 24 fps; an angle alone is read at 25 fps"
    )
    latitude_stops = NumberField("Latitude", unit="stops")


class OtherCameraRow(RowForm):
    """A further camera."""

    id = TextField("Name", needed=True, hint="B, drone")
    sensor_width_mm = NumberField("Sensor width", unit="mm")
    sensor_height_mm = NumberField("Sensor height", unit="mm")
    focal_lengths_mm = NumbersField("Focal lengths", unit="mm", hint="with spaces between")
    iso = NumberField("ISO")
    f_number = StopField("Aperture", hint="f/2.8")
    shutter_s = ShutterField("Shutter", hint="1/50")
    latitude_stops = NumberField("Latitude", unit="stops")


class LightRow(RowForm):
    """One fixture."""

    id = TextField("Name", needed=True, hint="key, fill, back")
    supply = ChoiceField("Runs on", LightSupply, "supply", none="not said (mains is assumed)")
    watts = NumberField("Power", unit="W")
    power_factor = ShareField("Power factor", hint="0 to 1")
    lux_at_1m = NumberField(
        "Light at 1 m", unit="lux", hint="or a reading farther off, or lumens and beam"
    )
    reading_lux = NumberField("Light as read", unit="lux")
    reading_at_m = LengthField("Read at a distance of")
    lumens = NumberField("Lumens", unit="lm", hint="with the beam; good to half a stop")
    beam_deg = NumberField("Beam angle", unit="°")
    cct_k = NumberField("Colour temperature", unit="K")
    duv = NumberField("Tint (Duv)")
    spectrum = ChoiceField("Kind of light", LightSpectrum, "spectrum")
    stand_min_m = LengthField("Stand, lowest")
    stand_max_m = LengthField("Stand, highest")
    head_m = LengthField("Height of the head")
    soft_width_m = LengthField("Width of its soft front")
    at_m = PlaceField("Pinned at", hint="left empty it is placed by the light plan")
    aim_m = PlaceField("Pointing at")


class ShortLightForm(RecordForm[ShortLight]):
    """A light in five fields, or six."""

    record_type = ShortLight
    id = TextField("Name", needed=True, hint="key, fill, back")
    watts = NumberField("Power", unit="W")
    lux_at_1m = NumberField(
        "Light at 1 m", unit="lux", hint="or its kind, where nobody has a meter"
    )
    spectrum = ChoiceField("Kind of light", LightSpectrum, "spectrum")
    cct_k = NumberField("Colour temperature", unit="K")
    lead_m = LengthField("Length of its lead")

    sections = (Section("", ("id", "watts", "lux_at_1m", "spectrum", "cct_k", "lead_m")),)


class ModifierRow(RowForm):
    """A softbox, a frame, a grid."""

    id = TextField("Name", needed=True, hint="softbox, grid")
    loss_stops = NumberField("Takes", unit="stops")
    width_m = LengthField("Makes the source as wide as")


class StandRow(RowForm):
    """A kind of stand."""

    id = TextField("Name", needed=True, hint="light stand, clamp")
    count = NumberField("How many")
    lowest_m = LengthField("Lowest")
    highest_m = LengthField("Highest")
    foot_m = LengthField("Width of its foot")


class ReflectorRow(RowForm):
    """A board or a cloth."""

    id = TextField("Name", needed=True, hint="white board")
    face = ChoiceField("Face", ReflectorFace, "face")
    width_m = LengthField("Width")
    height_m = LengthField("Height")
    reflectance = ShareField("Reflects", hint="0 to 1")


class ChargerRow(RowForm):
    """Something plugged in that is no light."""

    id = TextField("Name", needed=True, hint="batteries, laptop, monitor")
    watts = NumberField("Power", unit="W")
    power_factor = ShareField("Power factor", hint="left empty: 0.6, and said")


class MicRow(RowForm):
    """One microphone."""

    id = TextField("Name", needed=True, hint="boom, clip")
    kind = ChoiceField("Kind", MicKind, "mic", needed=True, none="choose")
    distance_m = LengthField("From the mouth")


class CableRow(RowForm):
    """One mains lead."""

    length_m = LengthField("Length", needed=True)
    conductor_mm2 = NumberField("Conductor", unit="mm²")


class ConstantField(ChoiceField):
    """The meter's calibration constant."""

    def read(self) -> int | str | None:
        """250 or 330 as a number; anything else as it stands, for the record to refuse."""
        return int(self.text) if self.text in {"250", "330"} else self.text or None


class KitForm(GroupForm):
    """What the crew brings."""

    name = TextField("What the kit is called", wide=True)
    camera = Group(CameraForm, "Camera", hint="the one that the calculations use")
    other_cameras = Rows(OtherCameraRow, "Other cameras", row="camera", folded=True)
    lights = Rows(LightRow, "Lights", row="light", folded=True)
    modifiers = Rows(
        ModifierRow,
        "Modifiers",
        row="modifier",
        folded=True,
        hint="Listed for the crew. What a light gives through one is not worked out: read it with the modifier on.",
    )
    stands = Rows(StandRow, "Stands", row="kind of stand", folded=True)
    reflectors = Rows(ReflectorRow, "Reflectors and flags", row="reflector", folded=True)
    mics = Rows(MicRow, "Microphones", row="microphone", folded=True)
    chargers = Rows(ChargerRow, "Chargers and what else is plugged in", row="charger", folded=True)
    cables = Rows(CableRow, "Mains leads", row="lead", folded=True)
    notes = LongField("Notes on the kit", rows=2, wide=True)
    speech_effort = ChoiceField(
        "How people speak", SpeechEffort, "effort", hint="left empty: normal, and said"
    )
    continuous_share = ShareField(
        "Share of a breaker that may be loaded for hours",
        hint="left empty: 0.8, and said; local rules decide",
    )
    exposure_constant = ConstantField(
        "Light meter",
        choices=[("250", "flat receptor (C = 250)"), ("330", "dome (C = 330)")],
        hint="left empty: flat, and said",
    )
    ratio = NumberField("Key to fill, as each light's own share", hint="left empty: 4, and said")


class ProductionForm(RecordForm[ProductionRecord]):
    """One job for one client."""

    record_type = ProductionRecord
    called = "production"

    title = TextField("Title", needed=True, wide=True)
    client = TextField("Client", wide=True)
    shoot_dates = DatesField("Shoot dates", hint="one a line, such as 2026-05-03 or 3 May")
    crew = Rows(CrewRow, "Crew", row="person", folded=True)
    kit = Group(KitForm, "Kit")

    sections = (
        Section("The job", ("title", "client", "shoot_dates")),
        Section("Crew", ("crew",)),
        Section(
            "Kit",
            ("kit",),
            "What the calculations of light, sound, power and framing use. Leave empty what is not known.",
        ),
    )


class CandidateForm(RecordForm[CandidateRecord]):
    """Where the choice stands."""

    record_type = CandidateRecord
    called = "candidate"

    state = ChoiceField("State", CandidateState, "state", none="")
    reason = LongField("Why", rows=2)

    sections = (Section("", ("state", "reason")),)
