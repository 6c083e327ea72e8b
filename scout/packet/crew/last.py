"""The last page: what the signs mean, the cautions that this kit and these rooms call for, and a
blank grid to draw a plan on.
"""

from __future__ import annotations

import math
from collections import Counter

from reportlab.platypus.flowables import Flowable

from scout.drawing.lettering import PLAN_PRINT_TEXT_MM, Hand
from scout.drawing.marks import SIGNS, mark_shapes
from scout.drawing.plan.legend import LEGEND
from scout.drawing.shapes import Drawing, Shape
from scout.packet.blocks import Desk, Drawn, Section
from scout.packet.content import PacketContent
from scout.packet.crew.parts import headed, opened
from scout.packet.crew.running import room_of, runs_through
from scout.packet.setting.text import QUIET, TextStyle, letter_width
from scout.values import Figure, Many, Word, said
from scout.words.figures import Words, sentence

CAUTION = TextStyle(size=9.5, leading=12.0, space_after=1.5)
COLUMNS = 3
TAPE = Figure(0.66, "m")  # of the example
# the symbols of the plan to set up by, in the order in which a reader meets them
PLACED = (
    "wall",
    "window",
    "door",
    "letter",
    "furniture",
    "camera",
    "camera_mark",
    "subject",
    "path",
    "focus",
    "field_chosen",
    "band",
    "role_key",
    "role_fill",
    "role_back",
    "role_other",
    "role_bounce",
    "aim",
    "boom",
    "outlet",
    "lead_0",
    "lead_1",
    "trip",
    "practical",
    "white",
    "sun_floor",
    "sun_wall",
    "bags",
)
# Common practice on any set; local law, the house's rules and licensed people come before anything
# printed here.
STANDING = (
    said("packet.caution_alone"),
    said("packet.caution_exits"),
    said("packet.caution_figures"),
)


def last_page(desk: Desk, content: PacketContent, *, plans: bool = True) -> list[Flowable]:
    """Legend, cautions, grid; of who carries no plan without what stands on plans."""
    section = Section("last", "Signs and cautions", 0)
    made = opened(desk, section, runs_through(content, "Signs and cautions"))
    made.append(Drawn(desk.setter, _legend(desk, content, plans=plans), desk.height))
    if plans:
        made.append(desk.text(said("packet.tapes", tape=TAPE), QUIET))
    made += headed(desk, "Cautions", [desk.text(words, CAUTION) for words in cautions(content)])
    return [*made, Grid(desk)]


def cautions(content: PacketContent) -> list[Words]:
    """Each once; one that not every room calls for names its rooms."""
    setups = content.every_setup
    held = Counter(caution for setup in setups for caution in set(setup.found.cautions))
    found: list[Words] = []
    for caution in dict.fromkeys(one for setup in setups for one in setup.found.cautions):
        if held[caution] == len(setups):
            found.append(sentence(caution))
            continue
        rooms = tuple(
            dict.fromkeys(room_of(one) for one in setups if caution in one.found.cautions)
        )
        named = said("packet.caution_in", caution=caution, rooms=Many(rooms, "list"))
        found.append(sentence(named))
    return [*found, *map(sentence, STANDING)]


def _legend(desk: Desk, content: PacketContent, *, plans: bool) -> Drawing:
    """Signs of a level, then the symbols of a plan, in columns."""
    hand = Hand(PLAN_PRINT_TEXT_MM, letter_width(), content.units)
    u, width_mm = PLAN_PRINT_TEXT_MM, 180.0
    spoken: list[str] = []
    cell = width_mm / COLUMNS
    names = [name for name in PLACED if name in LEGEND and plans]
    deep = math.ceil((len(names) + len(SIGNS)) / COLUMNS)
    step = 1.95 * u
    height = deep * step + 0.4 * u
    shapes: list[Shape] = []
    for k in range(len(SIGNS) + len(names)):
        column, row = divmod(k, deep)
        x, y = column * cell, height - (row + 0.6) * step
        if k < len(SIGNS):
            level = tuple(SIGNS)[k]
            shapes += mark_shapes(level, (x + 0.6 * u, y - 0.45 * u), 1.0 * u)
            words: Words = Word("level", level)
        else:
            name = names[k - len(SIGNS)]
            shapes += LEGEND[name][1](hand, (x + 1.2 * u, y))
            words = LEGEND[name][0]
        shapes.append(
            hand.write((x + 2.9 * u, y - 0.3 * u), words, size=0.9, most_mm=cell - 3.1 * u)
        )
        spoken.append(hand.say(words))
    title = hand.say(said("packet.legend"))
    return Drawing(width_mm, height, tuple(shapes), title, ", ".join(spoken))


class Grid(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """What is left of the page as squares of 5 mm, to draw a plan on."""

    STEP = 5.0 * 72.0 / 25.4
    LEAST = 6

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk

    def getSpaceBefore(self) -> float:  # noqa: N802
        return 6.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.down = int((height - QUIET.leading - 2.0) / self.STEP)
        self.across = int(width / self.STEP)
        self.width = width
        self.height = QUIET.leading + self.down * self.STEP if self.down >= self.LEAST else 0.0
        return width, self.height

    def draw(self) -> None:
        if self.down < self.LEAST:
            return
        words = str(said("packet.grid"))
        top = self.down * self.STEP
        self.desk.setter.draw(self.canv, 0.0, top + 3.0, words, QUIET)
        canvas = self.canv
        canvas.saveState()
        canvas.setStrokeColorRGB(0.62, 0.62, 0.64)
        for k in range(self.down + 1):
            canvas.setLineWidth(0.5 if k % 2 == 0 else 0.2)
            canvas.line(0, k * self.STEP, self.across * self.STEP, k * self.STEP)
        for k in range(self.across + 1):
            canvas.setLineWidth(0.5 if k % 2 == 0 else 0.2)
            canvas.line(k * self.STEP, 0, k * self.STEP, top)
        canvas.restoreState()
