"""The forms of a room's parts: one a kind, named as in the room sheet."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from scout.calc.bounce.named import NAMED
from scout.errors import Refused
from scout.records.pieces import PIECES
from scout.records.sheet import (
    BANDS_HZ,
    Circuit,
    Content,
    Covering,
    Door,
    Finish,
    Furniture,
    LightMethod,
    LightReading,
    Material,
    NoiseMethod,
    NoiseReading,
    Outlet,
    Practical,
    ReadMark,
    ReadPlane,
    Sky,
    Surface,
    Window,
)
from scout.values import Word
from scout.web.forms.base import Group, GroupForm, HalfRead, Section
from scout.web.forms.fields import (
    AreaField,
    ChoiceField,
    DirectionField,
    LengthField,
    LongField,
    NumberField,
    PlaceField,
    ShareField,
    TextField,
    TypedField,
    WholeField,
    YesNoField,
    number_as_typed,
)
from scout.web.forms.lines import NumbersField, SkylineField
from scout.web.forms.rooms import MEASURED, WALLS, MeasuredRecordForm
from scout.web.forms.times import MomentField


class WindowForm(MeasuredRecordForm[Window]):
    """A window."""

    record_type = Window
    called = r"(?:room\.)?windows\[\d+\]"

    id = TextField("Label", needed=True, hint="written on the plan")
    wall = ChoiceField("Wall", choices=WALLS, needed=True, none="choose")
    offset_m = LengthField("Left end of the wall to its left edge", hint="as seen from inside")
    sill_m = LengthField("Sill above the floor")
    width_m = LengthField("Clear width of the glass")
    height_m = LengthField("Clear height of the glass")
    transmittance = ShareField(
        "Light the glass lets through", hint="0 to 1; clear double glazing about 0.7, single 0.85"
    )
    reveal_m = LengthField(
        "Depth of the reveal", hint="from the glass to the face of the wall outside"
    )
    overhang_m = LengthField("Overhang, how far out")
    overhang_gap_m = LengthField("Overhang, gap above the glass")
    reveal_reflectance = ShareField(
        "Light its reveal and ledge reflect", hint="0 to 1; white paint 0.8, brick 0.2"
    )
    overhang_reflectance = ShareField(
        "Light the overhang's underside reflects",
        hint="0 to 1; white paint 0.75, bare concrete 0.3",
    )
    covering = ChoiceField("Covering", Covering, "covering")
    material = ChoiceField("For sound it counts as", Material, "material", none="glass")
    skyline = SkylineField(
        "Skyline seen from it",
        rows=4,
        hint="bearing and elevation in degrees, one pair a line, such as 150, 12",
    )

    sections = (
        Section("The window", ("id", "wall", "offset_m", "sill_m", "width_m", "height_m")),
        Section(
            "Glass and shade",
            (
                "transmittance",
                "covering",
                "reveal_m",
                "overhang_m",
                "overhang_gap_m",
                "reveal_reflectance",
                "overhang_reflectance",
                "skyline",
                "material",
            ),
        ),
        MEASURED,
    )


class DoorForm(MeasuredRecordForm[Door]):
    """A door."""

    record_type = Door
    called = r"(?:room\.)?doors\[\d+\]"

    id = TextField("Label", needed=True, hint="written on the plan")
    wall = ChoiceField("Wall", choices=WALLS, needed=True, none="choose")
    offset_m = LengthField("Left end of the wall to its left edge", hint="as seen from inside")
    width_m = LengthField("Clear width")
    height_m = LengthField("Clear height")
    material = ChoiceField("For sound it counts as", Material, "material", none="wooden door")
    keep_free = YesNoField(
        "An exit to keep free", hint="yes: no cable crosses it and no stand is in its way"
    )

    sections = (
        Section(
            "The door", ("id", "wall", "offset_m", "width_m", "height_m", "material", "keep_free")
        ),
        MEASURED,
    )


class CircuitForm(MeasuredRecordForm[Circuit]):
    """A circuit."""

    record_type = Circuit
    called = r"(?:room\.)?circuits\[\d+\]"

    id = TextField("Label", needed=True, hint="as on the board, or K1, K2")
    volts = NumberField("Voltage", unit="V")
    breaker_a = NumberField(
        "Breaker", unit="A", hint="the number on the breaker; do not open the board"
    )
    other_load_w = NumberField(
        "Load already on it", unit="W", hint="fridge, heating, machines that stay on"
    )
    verified = YesNoField(
        "Was it traced", hint="yes when somebody knows what hangs on it; no when it is supposed"
    )

    sections = (
        Section(
            "The circuit",
            ("id", "volts", "breaker_a", "other_load_w", "verified"),
            "Read the board, never open it. Anything beyond a plug is for a licensed electrician.",
        ),
        MEASURED,
    )


class OutletForm(MeasuredRecordForm[Outlet]):
    """A place to plug in."""

    record_type = Outlet
    called = r"(?:room\.)?outlets\[\d+\]"

    id = TextField("Label", needed=True, hint="written on the plan")
    wall = ChoiceField("Wall", choices=WALLS)
    offset_m = LengthField("Left end of the wall to its middle", hint="as seen from inside")
    height_m = LengthField("Above the floor")
    circuit = ChoiceField("Circuit it hangs on", choices=[("", "")], none="not known")
    sockets = WholeField("Sockets")

    sections = (
        Section("The outlet", ("id", "wall", "offset_m", "height_m", "circuit", "sockets")),
        MEASURED,
    )


class ContentForm(MeasuredRecordForm[Content]):
    """Something soft or hard in the room."""

    record_type = Content
    called = r"(?:room\.)?contents\[\d+\]"

    material = ChoiceField("What it is", Material, "material", needed=True, none="choose")
    area_m2 = AreaField("Its area", hint="of curtains, carpets, seats")
    count = WholeField("Or how many", hint="of persons or seats")

    sections = (Section("The furnishing", ("material", "area_m2", "count")), MEASURED)


class PracticalForm(MeasuredRecordForm[Practical]):
    """A lamp of the room."""

    record_type = Practical
    called = r"(?:room\.)?practicals\[\d+\]"

    id = TextField("Label", needed=True, hint="written on the plan")
    at_m = PlaceField("Where it is", hint="on the plan, from its lower left corner")
    lumens = NumberField("Light output", unit="lm")
    cct_k = NumberField("Colour temperature", unit="K")
    duv = NumberField("Tint (Duv)", hint="0 is neutral, above 0 greener")
    can_switch_off = YesNoField("Can it be switched off")

    sections = (
        Section("The practical", ("id", "at_m", "lumens", "cct_k", "duv", "can_switch_off")),
        MEASURED,
    )


class FloorPlaceField(PlaceField):
    """A point of the floor, in two boxes."""

    parts = ("x, to the right", "y, up the page")


class BandsForm(GroupForm):
    """A level an octave band."""

    def read(self) -> dict[str, float] | None:
        """The bands that were read, under their frequencies."""
        try:
            plain = super().read()
        except HalfRead as half:
            raise HalfRead(half.refusals, self._by_band(half.rest)) from None
        return None if plain is None else self._by_band(plain)

    @staticmethod
    def _by_band(plain: dict[str, Any]) -> dict[str, float]:
        return {name.removeprefix("hz_").replace("_", "."): level for name, level in plain.items()}

    def fill(self, plain: Any) -> None:
        """Write the levels."""
        super().fill({f"hz_{band.replace('.', '_')}": level for band, level in plain.items()})


for _band in BANDS_HZ:
    _said = f"{_band} Hz" if float(_band) < 1000 else f"{number_as_typed(float(_band) / 1000)} kHz"
    setattr(BandsForm, f"hz_{_band.replace('.', '_')}", NumberField(_said, unit="dB"))


class NoiseForm(MeasuredRecordForm[NoiseReading]):
    """A reading of the room's own sound."""

    record_type = NoiseReading
    called = r"(?:room\.)?noise\[\d+\]"

    id = TextField("Label", needed=True)
    taken_at = MomentField("When")
    laeq_db = NumberField("LAeq", unit="dB", hint="A-weighted, averaged")
    lceq_db = NumberField("LCeq", unit="dB", hint="C-weighted; far above LAeq means rumble")
    duration_s = NumberField("Over how long", unit="s")
    method = ChoiceField("Measured with", NoiseMethod, "method")
    conditions = LongField("What was on", rows=2, hint="fridge on, windows shut, school out")
    bands_db = Group(BandsForm, "Octave bands", hint="unweighted levels, if the meter gives them")

    sections = (
        Section(
            "The reading",
            ("id", "taken_at", "laeq_db", "lceq_db", "duration_s", "method", "conditions"),
        ),
        Section("Octave bands", ("bands_db",), folded=True),
        MEASURED,
    )


class LightReadingForm(MeasuredRecordForm[LightReading]):
    """Daylight read where it will be needed."""

    record_type = LightReading
    called = r"(?:room\.)?readings\[\d+\]"

    id = TextField("Label", needed=True)
    mark = ChoiceField("Read at", ReadMark, "mark")
    plane = ChoiceField("Meter or card held", ReadPlane, "plane")
    sky = ChoiceField("Sky", Sky, "sky")
    taken_at = MomentField("When")
    lux = NumberField("Light", unit="lux", hint="lamps off, nobody's shadow on it")
    how = ChoiceField("Read with", LightMethod, "light_method")
    doubt_stops = NumberField(
        "Good to", unit="stops", hint="left empty: meter 0.2, phone 0.5, card on a photo 1"
    )
    counts = YesNoField(
        "Go by it", hint="no: it is shown beside the prediction and changes nothing"
    )

    sections = (
        Section(
            "The reading",
            (
                "id",
                "mark",
                "plane",
                "sky",
                "taken_at",
                "lux",
                "how",
                "doubt_stops",
                "counts",
            ),
        ),
        MEASURED,
    )


# -- surfaces
# ---------------------------------------------------------------------------------------------------------
class ColourField(TypedField):
    """An sRGB colour by its six digits, or by an everyday name of our own list."""

    kind = "colour"
    names = tuple(NAMED)

    def read(self) -> Any:
        """The code typed, or the code that stands for the name typed; what is neither is left for
        the record to refuse.
        """
        typed = " ".join(self.text.split())
        return NAMED.get(typed.lower(), typed) or None


class LabField(DirectionField):
    """Three numbers of a Lab colour."""

    parts = ("L*", "a*", "b*")


class SpectrumForm(GroupForm):
    """Reflectance by wavelength."""

    first_nm = NumberField("First wavelength", unit="nm")
    step_nm = NumberField("Step", unit="nm")
    values = NumbersField("Reflectances", wide=True, hint="0 to 1, with spaces between")


class ColourForm(GroupForm):
    """A colour in one of three ways."""

    srgb = ColourField(
        "As a screen colour",
        hint="# and six digits, such as #c9b79c, or a name such as sage or brick red; a name is a guess, say so below",
    )
    lab = LabField("Or as Lab, from a reader")
    illuminant = ChoiceField("Lab is under", choices=[("D50", "D50"), ("D65", "D65")])
    spectrum = Group(SpectrumForm, "Or as a spectrum")


class SurfaceForm(MeasuredRecordForm[Surface]):
    """A wall, the ceiling or the floor."""

    record_type = Surface
    called = r"(?:room\.)?surfaces\.[A-Za-z]+"

    colour = Group(ColourForm, "Colour", hint="Give one of the three.")
    light_reflectance = ShareField(
        "Light it reflects", hint="0 to 1; on paint cards the LRV divided by 100"
    )
    finish = ChoiceField("Finish", Finish, "finish")
    material = ChoiceField("Material, for sound", Material, "material")

    sections = (
        Section("The surface", ("colour", "light_reflectance", "finish", "material")),
        MEASURED,
    )


class FurnitureForm(MeasuredRecordForm[Furniture]):
    """Something that stands on the floor."""

    record_type = Furniture
    called = r"(?:room\.)?furniture\[\d+\]"

    id = TextField("Label", needed=True, hint="written on the plan, such as F1, sofa or table")
    piece = ChoiceField(
        "Everyday piece",
        choices=[(name, Word("piece", name)) for name in PIECES],
        none="none of these",
        hint="what you leave empty below is taken from it (common practice)",
    )
    at_m = FloorPlaceField("Where its middle is", hint="on the plan, from its lower left corner")
    width_m = LengthField("Width", hint="across the page of the plan, before it is turned")
    depth_m = LengthField("Depth", hint="up the page of the plan, before it is turned")
    turn_deg = NumberField(
        "Turned clockwise by",
        unit="°",
        hint="seen from above; empty when it stands square to the page",
    )
    height_m = LengthField(
        "Height",
        hint="no light stands on it, and where it is taller than a line of light it hides it",
    )
    clear_below_m = LengthField(
        "Open below, up to", hint="as under a table; empty: solid down to the floor"
    )
    reflectance = ShareField("Light it reflects", hint="0 to 1; dark wood 0.1, pale wood 0.4")
    colour = Group(ColourForm, "Colour", hint="Give one of the three.")
    movable = YesNoField("Can it be moved", hint="yes when those who own it agree")
    mirrors = YesNoField(
        "Does it mirror",
        hint="a mirror, a television, a picture behind glass: by its broader sides",
    )

    sections = (
        Section(
            "The piece of furniture",
            (
                "id",
                "piece",
                "at_m",
                "width_m",
                "depth_m",
                "turn_deg",
                "height_m",
                "clear_below_m",
                "movable",
            ),
            "As a block: a table, a counter, a shelf, an altar. It need not be exact to the centimetre.",
        ),
        Section("How it meets the light", ("mirrors", "reflectance", "colour")),
        MEASURED,
    )

    def gathered(self) -> tuple[dict[str, Any], list[Refused]]:
        """What was typed; sizes and reflectance left empty are those of the everyday piece chosen."""
        plain, refusals = super().gathered()
        piece = PIECES.get(self.piece.text)
        if piece is not None:
            unread = {refusal.path for refusal in refusals}
            usual = {name: value for name, value in asdict(piece).items() if name not in unread}
            if "colour" in plain:
                del usual["reflectance"]
            if "height_m" in plain:  # what it is open up to belongs to its own height
                del usual["clear_below_m"]
            plain = {name: value for name, value in usual.items() if value is not None} | plain
        return plain, refusals


PART_FORMS: dict[str, type[MeasuredRecordForm[Any]]] = {
    "windows": WindowForm,
    "doors": DoorForm,
    "circuits": CircuitForm,
    "outlets": OutletForm,
    "contents": ContentForm,
    "practicals": PracticalForm,
    "furniture": FurnitureForm,
    "noise": NoiseForm,
    "readings": LightReadingForm,
}
