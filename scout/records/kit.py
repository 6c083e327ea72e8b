"""What the crew brings: cameras, lights and what shapes them, stands, microphones, chargers, leads.

A light's strength may be given in three ways; `known_lux_at_1m` settles which one counts, and
`photometry_words` says so.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from scout.calc.light.photometry import intensity_cosine_power_cd, intensity_uniform_cone_cd
from scout.records.base import (
    WHOLE,
    Above0,
    Label,
    Least0,
    LengthM,
    Name,
    Number,
    Place,
    Record,
    Share,
    Text,
    listed,
)
from scout.values import Figure, Said, said
from scout.values import Name as PlainName

LightSpectrum = Literal["daylight", "tungsten", "led", "fluorescent"]
LightSupply = Literal["mains", "battery"]
MicKind = Literal["camera", "shotgun", "cardioid", "omni", "omni_clip"]
ReflectorFace = Literal["white", "silver", "gold", "black", "mirror"]
SpeechEffort = Literal["relaxed", "normal", "raised", "loud"]
FAR_WIDTHS = 5.0  # from five widths of the source on, inverse square is within 1 %
LUMENS_DOUBT_STOPS = 0.5  # between the two usual models of a beam: a lux reading beats lumens


class Camera(Record):
    """The camera as the light and the framing meet it; the sensor in the recorded format."""

    sensor_width_mm: Annotated[Number, Field(gt=0, le=200)] | None = None
    sensor_height_mm: Annotated[Number, Field(gt=0, le=200)] | None = None
    focal_lengths_mm: (
        Annotated[tuple[Annotated[Number, Field(gt=0, le=3000)], ...], BeforeValidator(listed)]
        | None
    ) = None
    iso: Annotated[Number, Field(gt=0, le=10_000_000)] | None = None
    f_number: Annotated[Number, Field(ge=0.1, le=128)] | None = None
    shutter_s: Annotated[Number, Field(ge=1e-6, le=3600)] | None = None
    latitude_stops: Annotated[Number, Field(ge=0, le=30)] | None = None


class OtherCamera(Camera):
    """A further camera of the kit; the calculations use `kit.camera`."""

    id: Label


class Light(Record):
    """One fixture of the kit."""

    id: Label
    watts: Least0 | None = None
    power_factor: Annotated[Number, Field(gt=0, le=1)] | None = None
    supply: LightSupply | None = None
    cct_k: Annotated[Number, Field(ge=1000, le=40_000)] | None = None
    duv: Annotated[Number, Field(ge=-0.1, le=0.1)] | None = None
    spectrum: LightSpectrum | None = None
    lux_at_1m: Above0 | None = None
    reading_lux: Above0 | None = None
    reading_at_m: Annotated[Number, Field(gt=0, le=100)] | None = None
    lumens: Above0 | None = None
    beam_deg: Annotated[Number, Field(gt=0, lt=180)] | None = None
    stand_min_m: Annotated[Number, Field(ge=0, le=20)] | None = None
    stand_max_m: Annotated[Number, Field(ge=0, le=20)] | None = None
    head_m: Annotated[Number, Field(ge=0, le=5)] | None = None
    soft_width_m: Annotated[Number, Field(ge=0, le=10)] | None = None
    at_m: Place | None = None
    aim_m: Place | None = None

    @property
    def known_lux_at_1m(self) -> float | None:
        """Its lux at 1 m as given, else from a reading farther off, else from lumens and beam (the
        middle of two models); None when not measured.
        """
        if self.lux_at_1m is not None:
            return self.lux_at_1m
        if self.reading_lux is not None and self.reading_at_m is not None:
            return self.reading_lux * self.reading_at_m**2
        if self.lumens is not None and self.beam_deg is not None:
            return float(
                (
                    intensity_uniform_cone_cd(self.lumens, self.beam_deg)
                    * intensity_cosine_power_cd(self.lumens, self.beam_deg)
                )
                ** 0.5
            )
        return None

    @property
    def photometry_words(self) -> tuple[Said, ...]:
        """What its lux at 1 m rests on, when it was not given as such."""
        figure, light = self.known_lux_at_1m, PlainName(self.id)
        if self.lux_at_1m is not None:
            return ()
        if figure is None:
            return (said("record.no_beam", light=light),) if self.lumens is not None else ()
        lux = Figure(figure, "lux")
        if self.reading_lux is not None and self.reading_at_m is not None:
            width = self.soft_width_m
            near = width is not None and self.reading_at_m < FAR_WIDTHS * width
            return (
                said(
                    "record.lux_from_reading",
                    light=light,
                    read=Figure(self.reading_lux, "lux"),
                    at=Figure(self.reading_at_m, "m"),
                    lux=lux,
                    near=said("record.read_near") if near else None,
                ),
            )
        assert self.lumens is not None
        assert self.beam_deg is not None
        return (
            said(
                "record.lux_from_lumens",
                light=light,
                lumens=Figure(self.lumens, "lm"),
                beam=Figure(self.beam_deg, "deg"),
                lux=lux,
                doubt=Figure(LUMENS_DOUBT_STOPS, "stops"),
            ),
        )


class ShortLight(Record):
    """A light as it is called out in a hurry; the rest is assumed, and said where it counts."""

    id: Label
    watts: Least0 | None = None
    lux_at_1m: Above0 | None = None
    spectrum: LightSpectrum | None = None
    cct_k: Annotated[Number, Field(ge=1000, le=40_000)] | None = None
    lead_m: LengthM | None = None


class Charger(Record):
    """Something that charges or feeds from the mains and is no light: batteries, a laptop, a
    monitor.
    """

    id: Label
    watts: Least0 | None = None
    power_factor: Annotated[Number, Field(gt=0, le=1)] | None = None


class Modifier(Record):
    """What goes before a light: what it takes in stops, and how wide it makes the source."""

    id: Label
    loss_stops: Annotated[Number, Field(ge=0, le=15)] | None = None
    width_m: Annotated[Number, Field(gt=0, le=10)] | None = None


class Stand(Record):
    """A stand, a boom or a clamp of the kit."""

    id: Label
    count: Annotated[int, Field(ge=1, le=200), WHOLE] | None = None
    lowest_m: Annotated[Number, Field(ge=0, le=20)] | None = None
    highest_m: Annotated[Number, Field(gt=0, le=20)] | None = None
    foot_m: Annotated[Number, Field(gt=0, le=5)] | None = None


class Reflector(Record):
    """A board, a mirror or a cloth; a black one takes light away."""

    id: Label
    face: ReflectorFace | None = None
    width_m: Annotated[Number, Field(gt=0, le=20)] | None = None
    height_m: Annotated[Number, Field(gt=0, le=20)] | None = None
    reflectance: Share | None = None


class Mic(Record):
    """One microphone and how far from the mouth it will be."""

    id: Label
    kind: MicKind
    distance_m: Annotated[Number, Field(gt=0, le=100)] | None = None


class Cable(Record):
    """One mains lead."""

    length_m: LengthM
    conductor_mm2: Annotated[Number, Field(gt=0, le=100)] | None = None


class Kit(Record):
    """What the crew brings."""

    name: Name | None = None
    camera: Camera | None = None
    other_cameras: Annotated[tuple[OtherCamera, ...], BeforeValidator(listed)] | None = None
    lights: Annotated[tuple[Light, ...], BeforeValidator(listed)] | None = None
    modifiers: Annotated[tuple[Modifier, ...], BeforeValidator(listed)] | None = None
    stands: Annotated[tuple[Stand, ...], BeforeValidator(listed)] | None = None
    reflectors: Annotated[tuple[Reflector, ...], BeforeValidator(listed)] | None = None
    mics: Annotated[tuple[Mic, ...], BeforeValidator(listed)] | None = None
    chargers: Annotated[tuple[Charger, ...], BeforeValidator(listed)] | None = None
    cables: Annotated[tuple[Cable, ...], BeforeValidator(listed)] | None = None
    notes: Text | None = None
    speech_effort: SpeechEffort | None = None
    continuous_share: Annotated[Number, Field(gt=0, le=1)] | None = None
    exposure_constant: Literal[250, 330] | None = None
    ratio: Annotated[Number, Field(ge=1, le=64)] | None = None
