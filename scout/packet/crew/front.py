"""The first page: where to be when, what is still open, what changed, and whom to ring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from reportlab.platypus import PageBreak
from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Finding
from scout.assess.answers.finding import LEVELS, Level, Role
from scout.assess.choice.opening import opening_words
from scout.packet.blocks import WARNING, Desk, Section
from scout.packet.content import PacketContent, PacketDay, PacketSetup
from scout.packet.crew.parts import Abreast, headed, note_lines, opened
from scout.packet.crew.running import hours_of, no_calls, room_of, runs_through, setting_of
from scout.packet.names import TRADES, trades_of
from scout.packet.setting.canvas import PacketCanvas
from scout.packet.setting.geo import QrCode
from scout.packet.setting.table import Cell, Column, Ledger
from scout.packet.setting.text import BODY, QUIET, draw_lines
from scout.packet.swap import swap_said
from scout.values import Many, Name, Word, names, said
from scout.words import line
from scout.words.figures import Words

Sheet = Role | Literal["last"]  # a page that somebody turns to by name
Open = tuple[Level, Words, Words, Words]  # how bad it is, what to do, of what, who
MOST_OPEN, LEAST_OPEN = 7, 4
# who looks after a topic where no act says who does it
DOES: dict[str, Role] = {
    "light": "light",
    "sun": "light",
    "colour": "light",
    "power": "light",
    "sound": "sound",
    "space": "camera",
    "access": "carry",
    "hours": "production",
}
MOST_CHANGES, LEAST_CHANGES = 12, 3
QR_POINTS = 70.0


def front(
    desk: Desk, content: PacketContent, sheets: Sequence[Sheet] = (), *, rooms: bool = True
) -> list[Flowable]:
    """Days, open points, changes, crew; and on which page each person's own sheet stands. `rooms`:
    whether the edition has the pages of the rooms, with what is open in each.
    """
    section = Section("front", content.production.title, 0)
    below = said("packet.front", revision=content.revision, at=content.printed)
    made = opened(
        desk, section, runs_through(content, str(Word("edition", content.edition))), below
    )
    made += headed(desk, "Where to be", _days(desk, content))
    after = headed(desk, "Crew", _crew(desk, content))
    if sheets:
        cells = [
            Cell("Signs, cautions", to="last")
            if one == "last"
            else Cell(Word("role", one), to=f"sheet-{one}")
            for one in sheets
        ]
        after.append(Ledger(desk.setter, [Column("", 1.0)] * len(cells), [cells], headless=True))
    if sheets and "last" not in sheets:
        after.append(desk.text(said("packet.signs_elsewhere"), QUIET))
    standing = [one for one in (*made, *after) if not isinstance(one, PageBreak)]
    rows, left = (
        _own_first(open_points(content), content.edition),
        desk.height - desk.tall(standing),
    )
    for most in range(MOST_OPEN, LEAST_OPEN - 1, -1):  # rather fewer lines than a second page
        opens = headed(desk, "Still open", _open(desk, rows, most, _rest_at(sheets, rooms)))
        changes = _changes(desk, content, left - desk.tall(opens))
        if desk.tall([*opens, *changes]) <= left:
            break
    made += [*opens, *changes]
    return [*made, *after, *note_lines(desk)]


def _days(desk: Desk, content: PacketContent) -> list[Flowable]:
    columns = [Column("Day", 1.0), Column("Hours", 0.8), Column("Scene and room", 3.4)]
    columns.append(Column("Calls", 1.5))
    rows: list[Sequence[Cell | Words | None]] = []
    of_years = len({day.date.year for day in content.coming}) > 1
    dated = "packet.dated" if of_years else "packet.brief"
    for day in content.coming:
        for k, setup in enumerate(day.setups):
            first = k == 0
            loose = said("packet.hours_proposed") if any(one.proposed for one in day.setups) else ""
            name = Cell(said(dated, on=day.date), bold=True, more=loose, to=day.key)
            calls = Cell(_calls(content, day), more=_opens(day)) if first else Cell("")
            rows.append([name if first else Cell(""), hours_of(setup), _scene(setup), calls])
    rows += [
        [Cell(""), Cell(""), Cell(Name(scene), bold=True, more=said("packet.unchosen")), Cell("")]
        for scene in content.unchosen
    ]
    if not rows:
        return [desk.text("No scene has a date and a room yet.", QUIET)]
    over = dict.fromkeys(str(said("packet.brief", on=day.date)) for day in content.days if day.gone)
    none_left = all(day.gone for day in content.days)
    code, style = ("packet.all_gone", WARNING) if none_left else ("packet.gone_by", QUIET)
    told = [desk.text(said(code, days=names(list(over))), style)] if over else []
    return [Ledger(desk.setter, columns, rows), *told]


def _scene(setup: PacketSetup) -> Cell:
    """Scene, room and place; below them the backup, the sun and the quiet in those hours."""
    head = said(
        "packet.scene_in",
        scene=Name(setup.scene.name),
        room=room_of(setup),
        place=Name(setup.place.name),
        address=None if setup.place.address is None else Name(setup.place.address),
    )
    told = [_topic_line(setup, "sun"), _topic_line(setup, "sound")]
    parts = [str(one) for one in told if one is not None]
    if setup.within is not None:
        parts.append(str(said("packet.hours_within", within=setup.within)))
    if setup.state != "first_choice":
        parts.insert(0, str(said("packet.not_chosen", state=Word("state", setup.state))))
    return Cell(head, bold=False, more=". ".join(parts), to=setup.key)


def _topic_line(setup: PacketSetup, topic: str) -> str | None:
    """What stands worst of one topic in the scene's hours."""
    rows = [one for one in setup.found.findings if one.topic == topic and one.level != "outside"]
    quiet = [one for one in rows if one.code in ("sound.quiet", "sound.noisy", "sound.noises_come")]
    chosen = next(iter(quiet or rows), None)
    return None if chosen is None else line(chosen)


def phone_of(phone: str | None) -> Cell:
    """A number to dial, or that none is recorded."""
    return Cell(phone, phone=True) if phone else Cell(said("packet.no_phone"), quiet=True)


def called(day: PacketDay, trade: str | None = None) -> dict[str, list[str]]:
    """Who is called at each hour, in the order of the day; `trade`: of those of one trade."""
    hours: dict[str, list[str]] = {}
    for call in day.calls:
        if trade is None or trade in trades_of(call.role):
            hours.setdefault(f"{call.at:%H:%M}", []).append(call.name)
    return hours


def _calls(content: PacketContent, day: PacketDay) -> str:
    return hours_and_names(called(day)) or str(no_calls(content, day))


def hours_and_names(hours: Mapping[str, Sequence[str]]) -> str:
    """`08:30 Tom Reyes; 08:40 Asha Bell, Jo Quill`."""
    return "; ".join(f"{at} {', '.join(who)}" for at, who in hours.items())


def _opens(day: PacketDay) -> Words:
    held = day.place.opening_hours
    if held is not None:
        return said("packet.house_open", hours=Many(opening_words(held), "list"))
    if day.place.hours:
        return said("packet.house_open", hours=Name(day.place.hours))
    return ""


def open_points(content: PacketContent, besides: Role | None = None) -> list[Open]:
    """What is still open of the days to come, worst first: level, what to do, of what, who.
    `besides`: whose acts stand on the same page already.
    """
    rows: list[Open] = [
        ("problem", said("packet.choose", scene=Name(scene)), "", Word("role", "production"))
        for scene in content.unchosen
    ]
    who = Word("role", "production")
    warned: dict[str, dict[str, None]] = {}
    for place, day in {day.place.name: day for day in content.coming}.items():
        for warning in dict.fromkeys(one for call in day.calls for one in call.warnings):
            warned.setdefault(str(warning), {})[place] = None
        if not day.place.emergency_care:
            rows.append(("problem", said("packet.find_care", place=Name(place)), "", who))
        if day.permit is not None:
            what, asked = _to_do(day.permit)
            rows.append((day.permit.level, what, "", asked))
        if not day.place.hazards:
            rows.append(("unknown", said("packet.ask_hazards", place=Name(place)), "", who))
        if not day.place.contacts:
            rows.append(("unknown", said("packet.find_contact", place=Name(place)), "", who))
    for text, places in warned.items():
        rows.append(("care", Name(text), str(names(places)), who))
    seen: dict[str, int] = {}
    for setup in content.setups:
        if setup.state != "first_choice":
            words = said("packet.settle", room=room_of(setup), scene=Name(setup.scene.name))
            rows.append(("care", words, "", Word("role", "production")))
        for finding in setup.found.findings:
            if finding.level not in ("problem", "unknown"):
                continue
            if any(act.who == besides for act in finding.acts[:1]):
                continue
            what, who_does = _to_do(finding)
            if what in seen:
                old = rows[seen[what]]
                rows[seen[what]] = (old[0], old[1], f"{old[2]}; {setting_of(setup)}", old[3])
                continue
            seen[what] = len(rows)
            rows.append(
                (finding.level, what, str(said("packet.of", room=setting_of(setup))), who_does)
            )
    rows.sort(key=lambda row: LEVELS.index(row[0]))
    return rows


def _to_do(finding: Finding) -> tuple[str, Words]:
    """The line, with the act that does most; who does it."""
    act = next(iter(finding.acts), None)
    if act is None and finding.level == "problem":  # a red line is never left without what to do
        told = said("packet.line_act", line=Name(line(finding)), act=Name(str(said("page.no_act"))))
        return str(told), Word("role", "production")
    if act is None:
        return line(finding), Word("role", DOES[finding.topic])
    return str(said("packet.line_act", line=Name(line(finding)), act=Name(str(act)))), Word(
        "role", act.who
    )


def _own_first(rows: Sequence[Open], edition: str) -> list[Open]:
    """Open points in their order, those of the trades that an edition is printed for before all."""
    own = [Word("role", trade) for trade in TRADES if trade in edition.split("+")]
    return sorted(rows, key=lambda row: row[3] not in own)


def _rest_at(sheets: Sequence[Sheet], rooms: bool) -> str:
    """The message where open points stand that the front has no line for."""
    if rooms:
        return "packet.open_more"
    return "packet.open_more_production" if "production" in sheets else "packet.open_more_whole"


def _open(desk: Desk, rows: Sequence[Open], most: int, rest_at: str) -> list[Flowable]:
    if not rows:
        return [desk.text("Nothing that is known of.", BODY)]
    shown = [
        (Cell(what, level=level, more=of), Cell(who, quiet=True))
        for level, what, of, who in rows[:most]
    ]
    columns = [Column("", 5.6), Column("", 0.9)]
    made: list[Flowable] = [Ledger(desk.setter, columns, shown, headless=True)]
    if len(rows) > most:
        made.append(desk.text(said(rest_at, n=len(rows) - most), QUIET))
    return made


def _changes(desk: Desk, content: PacketContent, room: float) -> list[Flowable]:
    """What changed, in so many lines as leave the crew on the same page; the rest is counted."""
    most = min(MOST_CHANGES, len(content.changes or ()))
    made = _changed(desk, content, most)
    while most > LEAST_CHANGES and desk.tall(made) > room:
        most -= 1
        made = _changed(desk, content, most)
    return made


def _changed(desk: Desk, content: PacketContent, most: int) -> list[Flowable]:
    heading = said("packet.changed", since=content.changes_since)
    if content.changes is None:
        return []
    listed = bool(content.changes)
    swap = [] if content.swap_since is None else [Swaps(desk, content.swap_since, listed=listed)]
    if not content.changes:
        nothing = [desk.text("Nothing.", BODY)] if not swap else []
        return headed(desk, heading, [*nothing, *swap])
    grouped: dict[str | Many, list[str]] = {}
    for change in content.changes[:most]:
        grouped.setdefault(change.of, []).append(str(change.what))
    rows = [(Cell(of, bold=True), Cell("\n".join(those))) for of, those in grouped.items()]
    columns = [Column("", 0.26), Column("", 0.74)]
    made: list[Flowable] = [Ledger(desk.setter, columns, rows, headless=True)]
    rest = len(content.changes) - most
    if rest > 0:
        made.append(desk.text(said("change.further", n=rest), QUIET))
    return headed(desk, heading, [*made, *swap])


class Swaps(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Which pages of the last print to swap: two lines, written when every page is set."""

    def __init__(self, desk: Desk, since: int, *, listed: bool) -> None:
        super().__init__()
        self.desk, self.since, self.listed = desk, since, listed

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, 2 * BODY.leading
        return self.width, self.height

    def draw(self) -> None:
        def write(canvas: PacketCanvas) -> None:
            if canvas.swap is not None:
                words = swap_said(canvas.swap, self.since)
                if not self.listed and (canvas.swap.put_in or canvas.swap.take_out):
                    words = said("packet.set_anew", swap=words)
                lines = self.desk.setter.lines(str(words), BODY, self.width)[:2]
                draw_lines(canvas, self.desk.setter.case, lines, 0.0, self.height, self.width, BODY)

        self.canv.later(write, of_swap=True)


def _crew(desk: Desk, content: PacketContent) -> list[Flowable]:
    crew = content.production.crew
    if not crew:
        return [desk.text("The crew list is not recorded.", QUIET)]
    columns = [Column("", 1.3), Column("", 1.3), Column("", 1.1)]
    rows = [
        (
            Cell(one.name, bold=True),
            one.role or Cell(said("packet.no_role"), quiet=True),
            phone_of(one.phone),
        )
        for one in crew
    ]
    table = Ledger(desk.setter, columns, rows, headless=True)
    if content.address is None:
        return [table]
    code = [QrCode(content.address, QR_POINTS), desk.text(said("packet.is_it_last"), QUIET)]
    return [Abreast([[table], code], [4.6, 1.0])]
