"""A page a location: where it is, how to get in, whom to call, what can hurt, what is allowed."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.choice.opening import opening_words
from scout.packet.blocks import Desk, Section
from scout.packet.content import PacketLocation
from scout.packet.photos import photo_flowables
from scout.packet.setting.geo import draw_qr, geo_uri
from scout.packet.setting.table import NOT_MEASURED, NOT_RECORDED, Cell, Column, Ledger, facts
from scout.packet.setting.text import BODY, QUIET, SMALL, TextStyle, Typesetter
from scout.records.kept import LocationRecord
from scout.values import Figure, Name, said
from scout.words.figures import Words, distance, number, sizes, yes_no

QR_POINTS = 72.0
EMERGENCY_MISSING = "Not recorded. Find out, and tell the crew, before anybody works here."
HAZARDS_MISSING = "Not recorded. Nobody has written that there are none."


def location_pages(desk: Desk, section: Section, location: PacketLocation) -> list[Flowable]:
    """Everything recorded of a location."""
    record = location.record
    made = desk.begin(section, "Location")
    made += desk.guarded("The position", lambda: _position(desk, record))
    made.append(
        facts(
            desk.setter,
            [
                ("Address", record.address),
                ("Emergency care", record.emergency_care or Cell(EMERGENCY_MISSING, loud=True)),
                ("Hazards", record.hazards or Cell(HAZARDS_MISSING, loud=True)),
            ],
            style=BODY,
        )
    )
    made += desk.heading("Contacts")
    if record.contacts:
        columns = [
            Column("Name", 1.2),
            Column("Role"),
            Column("Phone", 1.1),
            Column("E-mail", 1.4),
            Column("Note", 1.4),
        ]
        rows = [
            (one.name, one.role, one.phone, one.email, one.note or "") for one in record.contacts
        ]
        made.append(Ledger(desk.setter, columns, rows, missing=NOT_RECORDED))
    else:
        made.append(desk.text("No contact is recorded.", QUIET))
    made += desk.heading("Access and load-in")
    made += _form(desk, _access(record))
    made += desk.heading("House")
    made += _form(desk, _house(record))
    photos, warnings = photo_flowables(desk.setter, location.photos, desk.width)
    desk.warnings += warnings
    made += desk.notes(location.notes)
    made += (
        [*desk.heading("Photos", photos[0].wrap(desk.width, desk.height)[1] + 34.0), *photos]
        if photos
        else []
    )
    return made


def _form(desk: Desk, pairs: Sequence[tuple[str, Cell | Words | None]]) -> list[Flowable]:
    """Short facts two abreast, then those that take more than a line across the page."""
    columns = [Column("", 0.24), Column("", 0.26), Column("", 0.24), Column("", 0.26)]
    most = desk.width * 0.26 - 2 * Ledger.GUTTER
    short = [
        (name, fact)
        for name, fact in pairs
        if not isinstance(fact, str)
        or ("\n" not in fact and desk.setter.width(fact, SMALL) <= most)
    ]
    long = [pair for pair in pairs if pair not in short]
    deep = (len(short) + 1) // 2
    rows: list[list[Cell | Words | None]] = []
    for at in range(deep):
        left, right = short[at], short[at + deep] if at + deep < len(short) else ("", Cell(""))
        rows.append([Cell(left[0]), left[1], Cell(right[0]), right[1]])
    made: list[Flowable] = (
        [
            Ledger(
                desk.setter,
                columns,
                rows,
                headless=True,
                missing=NOT_RECORDED,
                space_after=0.0 if long else 8.0,
            )
        ]
        if rows
        else []
    )
    return (
        [
            *made,
            facts(
                desk.setter,
                long,
                label_share=0.24 * (desk.width - 3 * Ledger.GUTTER) / (desk.width - Ledger.GUTTER),
            ),
        ]
        if long
        else made
    )


def _position(desk: Desk, record: LocationRecord) -> list[Flowable]:
    if record.latitude_deg is None or record.longitude_deg is None:
        return [facts(desk.setter, [("Coordinates", None), ("Time zone", record.timezone)])]
    none = said("value.unrecorded")
    height = none if record.elevation_m is None else Figure(record.elevation_m, "m")
    lines = [
        f"{record.latitude_deg:.6f}, {record.longitude_deg:.6f}",
        "latitude and longitude in decimal degrees, WGS 84",
        str(said("packet.elevation", height=height)),
        str(said("packet.zone", zone=Name(record.timezone) if record.timezone else none)),
        geo_uri(record.latitude_deg, record.longitude_deg),
    ]
    return [Position(desk.setter, lines, geo_uri(record.latitude_deg, record.longitude_deg))]


class Position(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Coordinates in figures beside their QR code."""

    def __init__(self, setter: Typesetter, lines: list[str], uri: str) -> None:
        super().__init__()
        self.setter, self.lines, self.uri = setter, lines, uri

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, QR_POINTS
        return width, self.height

    def getSpaceAfter(self) -> float:  # noqa: N802
        return 6.0

    def draw(self) -> None:
        y = self.height - 12.0
        for at, line in enumerate(self.lines):
            self.setter.draw(
                self.canv,
                0.0,
                y,
                line,
                TextStyle(size=12, bold=True) if at == 0 else QUIET,
                self.width - QR_POINTS - 12.0,
            )
            y -= 13.0
        draw_qr(self.canv, self.uri, self.width - QR_POINTS, 0.0, QR_POINTS)


def _access(record: LocationRecord) -> list[tuple[str, Cell | Words | None]]:
    lift = yes_no(record.has_lift)
    if record.has_lift:
        inside = sizes((record.lift_width_m, record.lift_depth_m, record.lift_height_m))
        lift = f"{said('packet.lift')}: {inside or NOT_MEASURED}"
    return [
        ("Narrowest door, w × h", sizes((record.door_width_m, record.door_height_m))),
        ("Steps to climb", number(record.steps)),
        ("Lift", lift),
        ("Carry from parking", distance(record.parking_distance_m)),
        ("Load-in", record.load_in),
        ("Parking", record.parking),
    ]


def _house(record: LocationRecord) -> list[tuple[str, Cell | Words | None]]:
    fee = None
    if record.fee_amount is not None:
        currency = Name(record.fee_currency) if record.fee_currency else said("value.unrecorded")
        fee = str(said("packet.fee", amount=Figure(record.fee_amount), currency=currency))
    if record.fee_note:
        fee = f"{fee}\n{record.fee_note}" if fee else record.fee_note
    open_when = (
        "\n".join(map(str, opening_words(record.opening_hours))) if record.opening_hours else None
    )
    return [
        ("Opening hours", open_when),
        ("Notes on hours", record.hours),
        ("Permits", record.permits),
        ("Fee", fee),
        ("House rules", record.house_rules),
        ("Restrooms", record.restrooms),
        ("Holding", record.holding),
        ("Phone signal", record.phone_signal),
    ]
