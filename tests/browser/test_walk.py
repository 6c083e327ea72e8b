"""A room caught on one page with one thumb: how many taps, keys and page loads it takes, that its
loop of walls closes as surveyors close it, and that nothing is lost without signal.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, FilePayload, Page, Playwright, expect

from scout.calc import geometry
from scout.records import LocationRecord, Person, RoomRecord, read_sheet
from scout.records.sheet import Door
from scout.settings import Settings
from scout.units import parse_position
from scout.usecases import people, recordings, rooms, sheets
from scout.usecases.locations import add_location, location
from scout.usecases.shown import RoomPage
from scout.usecases.work import open_work
from scout.web.forms.base import say
from tests.browser.conftest import CHROMIUM, EMAIL, FLAGS, PASSWORD, log_in
from tests.fitting_facts import FITTING, sheet_of
from tests.records.test_fitting_facts import refusals_of
from tests.rooms import plain_sheet
from tests.test_position_text import NO_POSITIONS, POSITIONS
from tests.typed_lengths import ASKED, BEARINGS, LENGTHS, NO_BEARINGS, NO_LENGTHS

pytestmark = pytest.mark.browser
FAKE = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]


@pytest.fixture(scope="module")
def browser(driver: Playwright) -> Iterator[Browser]:
    """Chromium with a microphone that beeps."""
    opened = driver.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *FAKE])
    yield opened
    opened.close()


class Thumb:
    """Counts what a person does: taps, keys (of the page's keypad or the phone's), page loads."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps, self.keys, self.loads = page, 0, 0, 0
        page.on("framenavigated", self._loaded)

    def _loaded(self, _frame: Any) -> None:
        self.loads += 1

    def tap(self, selector: str) -> None:
        self.taps += 1
        self.page.locator(selector).filter(visible=True).first.click()

    def button(self, name: str) -> None:
        self.taps += 1
        self.page.get_by_role("button", name=name, exact=True).filter(visible=True).first.click()

    def pad(self, text: str) -> None:
        for key in text:
            self.keys += 1
            self.page.click(f'[data-pad="{key}"]')

    def onward(self) -> None:
        self.keys += 1
        self.page.click('[data-pad="Next"]')

    def plan(self, across: float, down: float) -> None:
        self.taps += 1
        self.page.locator("[data-plan]").scroll_into_view_if_needed()
        box = self.page.locator("[data-plan]").bounding_box()
        assert box is not None
        self.page.mouse.click(box["x"] + across * box["width"], box["y"] + down * box["height"])


def walking(browser: Browser, address: str, settings: Settings, width: int = 390) -> Page:
    with open_work(settings) as work:
        people.add_person(work, Person(email=EMAIL, name="Ada"), PASSWORD)
        add_location(work, LocationRecord(name="Weir House"))
    page = browser.new_context(viewport={"width": width, "height": 780}).new_page()
    log_in(page, address)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.goto(f"{address}/locations/1/walk")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    expect(page.locator("[data-onward]")).to_have_text("Next: Shape")
    return page


def photo() -> FilePayload:
    held = io.BytesIO()
    Image.new("RGB", (640, 480), "#8899aa").save(held, "JPEG")
    return {"name": "one.jpg", "mimeType": "image/jpeg", "buffer": held.getvalue()}


def room_of(settings: Settings, key: int = 1) -> RoomPage:
    with open_work(settings, reading=True) as work:
        return rooms.room(work, key)


def rectangle(page: Page) -> Thumb:
    thumb = Thumb(page)
    thumb.taps += 1  # the phone's own camera is on the other side of this tap
    page.set_input_files("#w-photo", [photo()])
    expect(page.locator("[data-photos] li")).to_have_count(1)
    thumb.button("Kitchen")
    thumb.tap("[data-onward]")
    thumb.tap('[data-key="width"]')
    thumb.pad("4.2")
    thumb.onward()
    thumb.pad("3.6")
    thumb.onward()
    thumb.pad("2.5")
    thumb.tap("[data-onward]")
    thumb.tap('[data-key="facing.bearing"]')
    thumb.pad("205")
    thumb.tap("[data-onward]")
    thumb.plan(0.5, 0.12)  # the wall at the top of the drawing
    thumb.button("Tall window")
    thumb.button("Marks")
    thumb.plan(0.5, 0.4)
    thumb.plan(0.5, 0.8)
    thumb.button("Send")
    return thumb


def test_a_rectangle_in_few_taps(browser: Browser, address: str, embedded: Settings) -> None:
    page = walking(browser, address, embedded)
    thumb = rectangle(page)
    thumb.tap("[data-send]")
    expect(page.locator("[data-kept]")).to_have_text("On the server")
    assert (thumb.taps <= 25, thumb.keys <= 30, thumb.loads) == (True, True, 0)
    kept = room_of(embedded)
    record = kept.kept.record
    assert (record.name, record.width_m, record.length_m, record.height_m) == (
        "Kitchen",
        4.2,
        3.6,
        2.5,
    )
    assert record.facing is not None
    assert (record.facing.wall, record.facing.bearing_deg, record.facing.north) == (
        "A",
        205,
        "magnetic",
    )
    assert record.windows is not None
    (window,) = record.windows
    assert window.wall == "A"
    assert window.offset_m == pytest.approx(1.6, abs=0.1)  # by hand: half of 4.2 less half of 1
    assert kept.marks is not None
    assert kept.marks.subject is not None
    assert kept.marks.camera is not None
    assert kept.marks.subject[1] > kept.marks.camera[1]
    assert len(kept.photos) == 1
    page.click("[data-room]")
    page.wait_for_url("**/rooms/1")


def test_a_second_person_does_not_move_the_first(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = walking(browser, address, embedded)
    thumb = rectangle(page)
    thumb.button("Marks")
    first = page.locator("[data-plan] text", has_text="person")
    expect(first).to_have_text("person")
    thumb.button("Person seated")
    thumb.plan(0.3, 0.4)
    thumb.button("Person standing")
    thumb.plan(0.7, 0.4)
    thumb.plan(0.1, 0.9)  # nothing is chosen: it puts nobody there, and moves nobody
    told = page.locator("[data-marks]")
    expect(told).to_contain_text("Only person 1 is judged.")
    listed = page.locator("[data-pieces] li")
    expect(listed).to_have_count(3)
    thumb.button("Move person 3")
    expect(told).to_contain_text("The next tap moves person 3.")
    thumb.plan(0.65, 0.3)
    thumb.button("Table")
    thumb.plan(0.5, 0.55)
    thumb.button("Table")
    thumb.plan(0.2, 0.75)
    expect(listed.nth(4).get_by_role("button").first).to_have_text("table 2")
    thumb.button("Remove person 2")
    thumb.button("Send")
    thumb.tap("[data-send]")
    expect(page.locator("[data-kept]")).to_have_text("On the server")
    kept = room_of(embedded)
    marks = kept.marks
    assert marks is not None
    assert marks.subject is not None
    (other,) = marks.others or ()
    # common practice: a face is 1.2 m up seated, 1.6 m standing; by hand: the first is in the middle,
    # the one left of the two others to its right and further up the drawing
    assert (marks.subject[2], other[2]) == (1.2, 1.6)
    assert marks.subject[0] == pytest.approx(2.1, abs=0.1)
    assert other[0] > marks.subject[0] + 0.3
    assert other[1] > marks.subject[1]
    assert [one.id for one in kept.kept.record.furniture or ()] == ["Table", "Table 2"]
    # walked on, they stand where they stood, and nothing has changed
    page.goto(f"{address}/rooms/1/walk#marks")
    expect(page.locator("[data-pieces] li")).to_have_count(4)
    thumb.button("Move person 2")
    thumb.plan(0.9, 0.3)  # outside: said at once
    expect(told).to_contain_text("Person 2 lies outside the room's plan.")
    thumb.button("Move person 2")
    thumb.plan(0.7, 0.3)
    thumb.button("Save")
    thumb.tap("[data-send]")
    expect(page.locator("[data-kept]")).to_have_text("On the server")
    moved = room_of(embedded).marks
    assert moved is not None
    assert moved.subject == marks.subject
    ((x, _, high),) = moved.others or ()
    assert x > other[0]
    assert high == 1.6


def test_an_l_shape_with_all_its_things(browser: Browser, address: str, embedded: Settings) -> None:
    page = walking(browser, address, embedded)
    thumb = Thumb(page)
    thumb.button("Living room")
    thumb.button("Outdoors")
    thumb.button("Speak a memo")
    expect(page.locator("[data-memo-said]")).to_contain_text("17")  # of 180 s
    thumb.button("Stop")
    expect(page.locator("[data-memos] li")).to_have_count(1)
    thumb.tap("[data-onward]")
    thumb.button("Walk the wall")
    thumb.tap("#leg-0")
    for at, (run, turn) in enumerate(
        [("6.02", "right"), ("2.5", "right"), ("2", "left"), ("1.5", "right"), ("4", "right")]
    ):
        thumb.pad(run)
        thumb.button(f"Wall {'ABCDE'[at]}, then turn {turn}")
    thumb.pad("4")
    expect(page.locator("[data-closing]")).to_contain_text("miss by 0.02 m")
    thumb.tap('[data-key="height"]')
    thumb.pad("2.4")
    thumb.tap("[data-onward]")
    thumb.button("NE")
    thumb.tap("[data-onward]")
    thumb.plan(0.5, 0.12)
    thumb.tap('[data-presets] button:has-text("Tall window")')
    thumb.button("Two, evenly")
    for wall, plate, each in (("Wall B", "Double", "Two, evenly"), ("Wall E", "Single", "Four")):
        thumb.button(wall)
        thumb.button("Low socket")
        thumb.button(plate)
        thumb.button(each)
    thumb.button("Power")
    thumb.tap('[aria-label="Add a circuit of 16 A"]')
    expect(page.locator('[data-list="circuits"]')).to_contain_text("6 of 6 put on it")
    thumb.button("Openings")
    thumb.button("Wall C")
    thumb.button("Double door")
    thumb.button("Way out: keep free")
    thumb.tap("[data-onward]")
    for target, colour in (("walls", "cream"), ("ceiling", "brilliant white"), ("floor", "oak")):
        if target != "walls":
            thumb.tap(f'[data-target="{target}"]')
        thumb.tap(f'[data-colour][data-value="{colour}"]')
    thumb.tap("[data-onward]")
    listen = page.locator("[data-record]")
    expect(listen).to_have_attribute("data-record", "30")
    listen.evaluate("button => { button.dataset.record = 4 }")  # nobody here waits half a minute
    thumb.tap("[data-record]")
    expect(page.locator("[data-record-said]")).to_contain_text("kept on this phone")
    thumb.button("Fridge")
    thumb.button("Marks")
    thumb.plan(0.4, 0.4)
    thumb.plan(0.4, 0.75)
    for piece, across, down in (("Sofa", 0.4, 0.4), ("Cupboard", 0.0, 0.8), ("Chair", 0.3, 0.6)):
        thumb.button(piece)
        thumb.plan(across, down)
    thumb.button("Remove the chair")
    expect(page.locator("[data-marks]")).to_contain_text("The person sits on the sofa.")
    thumb.button("Move or turn the sofa")
    thumb.plan(0.6, 0.3)  # a second tap moves it
    thumb.button("Turn by 90°")
    thumb.button("Send")
    thumb.tap("[data-send]")
    expect(page.locator("[data-kept]")).to_have_text("On the server")
    assert (thumb.taps <= 110, thumb.keys <= 120, thumb.loads) == (True, True, 0)
    kept = room_of(embedded)
    record = kept.kept.record
    # by hand, transit rule: 6.02 over 2 + 4 + 0; A takes 6.02/12.02 of the 0.02, C and E the rest
    assert record.plan_m is not None
    plan = [pair for corner in record.plan_m for pair in corner]
    a = 6.02 - 0.02 * 6.02 / 12.02
    e = 4 + 0.02 * 4 / 12.02
    assert plan == pytest.approx([0, 4, a, 4, a, 1.5, e, 1.5, e, 0, 0, 0], abs=2e-4)
    assert [window.wall for window in record.windows or ()] == ["A", "A"]
    assert [outlet.wall for outlet in record.outlets or ()] == ["B"] * 2 + ["E"] * 4
    assert [outlet.sockets for outlet in record.outlets or ()] == [2] * 2 + [1] * 4
    assert record.setting == "exterior"
    # by hand: of eight words each stands for 45 degrees
    assert record.facing is not None
    assert (record.facing.bearing_deg, record.facing.accuracy_deg) == (45, 22.5)
    assert [outlet.circuit for outlet in record.outlets or ()] == ["K1"] * 6
    assert [(one.breaker_a, one.verified) for one in record.circuits or ()] == [(16, False)]
    assert [(door.wall, door.keep_free) for door in record.doors or ()] == [("C", True)]
    # common practice: a cupboard is 0.6 m deep and 1 m wide; tapped outside it is pushed to the wall
    sofa, cupboard = record.furniture or ()
    assert (sofa.width_m, sofa.depth_m, sofa.turn_deg) == (2.0, 0.9, 90)
    assert cupboard.at_m is not None
    assert cupboard.at_m[0] == 0.5
    guessed = {m.path for m in kept.measurements if m.how == "guess"}
    assert {"furniture.Sofa.width_m", "furniture.Cupboard.height_m"} <= guessed
    assert set(record.surfaces or {}) == {*"ABCDEF", "ceiling", "floor"}
    with open_work(embedded, reading=True) as work:
        (recording,) = recordings.recordings(work, 1)
        (memo,) = recordings.recordings(work, 1, memos=True)
    assert (memo.record.purpose, memo.measured) == ("memo", None)
    assert recording.record.conditions == "fridge on"
    # by hand: thirty seconds, two bytes a sample, at least 8 kHz
    assert recording.bytes > 4 * 2 * 8000


def test_without_signal_and_with_the_tab_killed_all_arrives_once(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = walking(browser, address, embedded)
    page.reload()
    context = page.context
    context.set_offline(True)
    rectangle(page)
    page.wait_for_timeout(300)
    page.close(run_before_unload=False)  # before it was sent
    page = context.new_page()
    page.goto(f"{address}/locations/1/walk")
    expect(page.locator("[data-again]")).to_be_visible()
    page.click("[data-send]")
    expect(page.locator("[data-states] li").first).to_contain_text("on this phone")
    page.close(run_before_unload=False)
    context.set_offline(False)
    page = context.new_page()
    page.goto(f"{address}/outbox")
    expect(page.locator("[data-outbox-none]")).to_be_visible()
    with open_work(embedded, reading=True) as work:
        assert rooms.find_rooms(work).total == 1
    assert len(room_of(embedded).photos) == 1
    page.goto(f"{address}/locations/1/walk")
    expect(page.locator("[data-onward]")).to_have_text("Next: Shape")
    expect(page.locator("[data-again]")).to_be_hidden()


def test_what_would_be_refused_is_said_while_it_is_typed(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = walking(browser, address, embedded, 360)
    page.click('[data-to="shape"]')
    page.click('[data-key="width"]')
    for key in "540":
        page.click(f'[data-pad="{key}"]')
    fault = page.locator('[data-field="width"] .fault')
    expect(fault).to_contain_text("“540” has no unit and could be 5.4 m")
    page.fill('[data-key="depth"]', "4")
    doubted = "[data-plan] .wall.doubted"
    expect(page.locator(doubted)).to_have_count(2)  # it is drawn, both ways
    closing = page.locator("[data-closing]")
    expect(closing).to_contain_text("Wall A: 540 without a unit? Drawn dashed as 5.40 m")
    page.click('[data-key="width"]')
    page.click('text="5.4 m?"')
    expect(fault).to_be_hidden()
    expect(page.locator('[data-key="width"]')).to_have_value("5.4 m")
    expect(page.locator(doubted)).to_have_count(0)
    page.click('text="Walk the wall"')
    for at, typed in enumerate(["5.4", "4 m", "540 m", "4"]):
        page.fill(f"#leg-{at}", typed)
        if at < 3:
            page.click(f'[aria-label="Wall {"ABCD"[at]}, then turn right"]')
    # by hand: 5.4, 4 and 4 are 13.4 m, and a hundredth of 540 closes
    expect(closing).to_contain_text("Wall C: 540.00 m? All the others together are shorter")
    expect(closing).to_contain_text("did you mean 5.40 m?")
    expect(page.locator(doubted)).to_have_count(1)
    page.fill("#leg-2", "540")
    page.click('[aria-label="Wall C, then turn right"]')  # further on, it is still said at its wall
    expect(page.locator("li:has(#leg-2) .fault")).to_contain_text("could be 5.4 m")
    page.fill("#leg-2", "abc")
    expect(closing).to_contain_text("Wall C is not drawn: “abc” is no length.")
    page.fill("#leg-2", "5.4")
    expect(closing).to_have_text("The walls meet.")
    page.click('text="Rectangle"')
    page.fill('[data-key="height"]', "250 m")
    expect(page.locator('[data-field="height"] .fault')).to_have_text(
        "“250 m” must be 200 m or less"
    )
    page.click('[data-to="access"]')
    page.fill('[data-key="way.carry"]', "540")  # of ground that is a length
    page.fill('[data-key="way.steps"]', "2.5")
    expect(page.locator('[data-field="way.steps"] .fault')).to_contain_text("whole number")
    page.fill('[data-key="way.steps"]', "2")
    page.click('[data-to="send"]')
    page.click("[data-send]")
    expect(page.locator('[data-key="height"]')).to_be_focused()
    page.goto(f"{address}/locations/1/rooms/new")
    page.fill("#height_m", "250 m")
    page.fill("#width_m", "540")
    for key, words in (("height", "must be 200 m or less"), ("width", "could be 5.4 m")):
        expect(page.locator(f".field:has(#{key}_m) .fault")).to_contain_text(words)
    page.click('text="5.4 m?"')
    expect(page.locator(".field:has(#width_m) .fault")).to_be_hidden()


def test_one_forgotten_sound_is_recorded_on_the_page_of_what_is_recorded(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = walking(browser, address, embedded, 360)
    with open_work(embedded) as work:
        key = sheets.import_sheet(work, read_sheet(plain_sheet(kit=None)), 1)
    page.goto(f"{address}/rooms/{key}/recorded")
    page.fill("[data-heard]", "fridge on")
    page.context.set_offline(True)
    for button, seconds in (("Record 30 seconds", "29"), ("Speak a memo", "179")):
        page.get_by_role("button", name=button).click()
        expect(page.locator("[data-said]")).to_contain_text(seconds)
        page.get_by_role("button", name="Stop", exact=True).click()
        expect(page.locator("[data-said]")).to_have_text("Kept on this phone, no signal.")
    page.context.set_offline(False)
    expect(page.locator("[data-said]")).to_have_text("On the server. Show it")
    expect(page.locator("[data-outbox]")).to_be_hidden()
    with open_work(embedded, reading=True) as work:
        (recording,) = recordings.recordings(work, key)
        (memo,) = recordings.recordings(work, key, memos=True)
    assert recording.record.conditions == "fridge on"
    assert (memo.record.purpose, memo.record.conditions) == ("memo", None)


# Of the step that is open: what cannot be seen once it has the focus, whether one came to it from
# above or from below, and which fault cannot be read at its field; and how long the step is.
COVERED = """async () => {
  await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn))); // what bar and drawing cover is measured
  const [dock, plan] = [document.querySelector('.walk-dock'), document.querySelector('.walk-plan')];
  const step = document.querySelector('[data-step]:not([hidden])');
  const seen = (part, name) => {
    const { top, bottom } = part.getBoundingClientRect();
    const above = getComputedStyle(plan).position === 'sticky' ? plan.getBoundingClientRect().bottom : 0;
    if (bottom > dock.getBoundingClientRect().top + 1 || top < above - 1) bad.push(name);
  };
  const bad = [];
  for (const from of [0, 1e6])
    for (const part of step.querySelectorAll('input, button, select, textarea, a')) {
      if (!part.offsetParent || part.disabled || part.className === 'visually-hidden') continue;
      scrollTo(0, from);
      part.blur();
      part.focus();
      const name = part.id || part.textContent.trim();
      seen(part, name);
      if (part.dataset.kind !== 'length' || part.dataset.key.startsWith('place.')) continue;
      const before = part.value;
      for (const text of ['wide', before]) {
        part.value = text;
        part.dispatchEvent(new Event('input', { bubbles: true }));
        part.dispatchEvent(new Event('focusout', { bubbles: true }));
        const fault = part.closest('[data-field], li').querySelector('.fault');
        if (text === 'wide') seen(fault, `fault of ${name}`);
        if (fault.hidden === (text === 'wide')) bad.push(`${name} says nothing`);
      }
    }
  return [bad, document.querySelector('#walk').getBoundingClientRect().height / 844];
}"""


def test_nothing_is_under_the_bar_or_the_keypad(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = walking(browser, address, embedded, 360)
    rectangle(page)
    page.click('[data-to="openings"]')
    page.click('[data-walls="at"] [aria-label="Wall C"]')  # on A it would lie over the window
    page.click('[data-presets] button:has-text("Double door")')
    page.click('[data-to="power"]')
    for breaker in ("16 A", "10 A"):
        page.click(f'[aria-label="Add a circuit of {breaker}"]')
    page.click('[data-to="people"]')
    page.click("[data-add-contact]")
    for width, height in ((360, 640), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        for step in page.locator("[data-steps] button").evaluate_all(
            "all => all.map(({ dataset }) => dataset.to)"
        ):
            page.click(f'[data-to="{step}"]')
            covered, screens = page.evaluate(COVERED)
            assert (step, width, covered) == (step, width, [])
            assert (step, screens < 2.5) == (step, True)


def test_what_is_refused_is_mended_at_its_place(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = walking(browser, address, embedded)
    rectangle(page)
    page.click('[data-to="photos"]')
    text: FilePayload = {"name": "list.jpg", "mimeType": "image/jpeg", "buffer": b"milk, eggs"}
    broken: FilePayload = {**text, "name": "half.jpg", "buffer": b"\xff\xd8\xff\xe0 and no more"}
    page.set_input_files("#w-photo", [text, broken])
    expect(page.locator("[data-photo-fault]")).to_contain_text("list.jpg")
    expect(page.locator("[data-photos] li")).to_have_count(2)
    # File API, "Errors": so a browser answers when a file was changed after it had been chosen
    page.evaluate(
        """() => { Blob.prototype.whole = Blob.prototype.arrayBuffer;
        Blob.prototype.arrayBuffer = async () => { throw new DOMException('', 'NotReadableError'); };
        }"""
    )
    page.set_input_files("#w-photo", [photo()])
    expect(page.locator("[data-photo-fault]")).to_contain_text("one.jpg cannot be read")
    page.evaluate("() => { Blob.prototype.arrayBuffer = Blob.prototype.whole; }")
    page.click('[data-to="sound"]')
    page.click('[data-value="next door"]')
    page.fill('[data-key="heard"]', "school bell")
    page.click('[data-to="openings"]')
    page.click("[data-things] button")
    page.fill('[data-key="open.width"]', "9")
    page.click('[data-to="send"]')
    page.click("[data-send]")
    expect(page.locator("[data-refused]")).to_contain_text("4.20 m")
    page.click("[data-refused] li button")
    page.fill('[data-key="open.width"]', "1.1")
    page.click('[data-to="send"]')
    page.click("[data-send]")
    states = page.locator("[data-states]")
    expect(states).to_contain_text("The room itself is on the server")
    expect(states).to_contain_text("“half.jpg”")
    expect(page.locator("[data-refused]")).to_be_hidden()
    page.goto(f"{address}/outbox")
    expect(page.locator("[data-outbox-list]")).to_contain_text("“half.jpg”")
    expect(page.locator("[data-outbox-elsewhere]")).to_be_hidden()
    page.click("[data-outbox-list] a")
    page.wait_for_url("**/rooms/1/recorded#photos")
    noise = room_of(embedded).kept.record.noise
    assert noise is not None
    assert [(one.laeq_db, one.conditions) for one in noise] == [
        (None, "heard, not measured: next door, school bell")
    ]
    windows = room_of(embedded).kept.record.windows
    assert windows is not None
    assert windows[0].width_m == 1.1
    assert len(room_of(embedded).photos) == 1


def test_walking_on_without_signal_and_beside_somebody_else(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = walking(browser, address, embedded)
    with open_work(embedded) as work:
        key = sheets.import_sheet(work, read_sheet(plain_sheet(kit=None)), 1)
    page.goto(f"{address}/rooms/{key}/walk")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    expect(page.locator("[data-kept]")).to_have_text("On the server")
    page.context.set_offline(True)
    page.goto(f"{address}/rooms/{key}/walk#shape")
    page.reload()
    expect(page.locator('[data-key="height"]')).to_have_value("2.7")
    page.fill('[data-key="height"]', "2.6")
    page.click('[data-to="openings"]')
    expect(page.locator("[data-kept]")).to_contain_text("Kept on this phone")
    page.click('[data-things] button:has-text("W1")')
    page.fill('[data-key="open.sill"]', "0.8")
    page.click('[data-to="power"]')
    page.click('[data-list="circuits"] button:has-text("P1")')  # hangs on nothing any more
    page.click('[aria-label="Add a circuit of 16 A"]')
    page.click('[data-list="circuits"] li:nth-child(2) button:has-text("P1")')
    page.click('[data-to="people"]')
    page.click("[data-add-contact]")
    page.fill('[data-name="name"]', "Mrs Osei")
    page.fill('[data-name="phone"]', "+44 117 496 0000")
    page.click('[data-phrase="Low beam"]')
    page.click('[data-to="send"]')
    expect(page.locator("[data-states] li")).to_have_count(4)  # shape, openings, power, people
    page.close(run_before_unload=False)
    with open_work(embedded) as work:  # somebody else, with signal
        window = rooms.room(work, key).parts["windows"][0]
        changed = window.record.model_copy(update={"sill_m": 1.0, "width_m": 1.9})
        rooms.save_part(work, "windows", window.id, window.version, changed)
    context = browser.contexts[-1]
    context.set_offline(False)
    page = context.new_page()
    page.goto(f"{address}/rooms/{key}/walk")
    expect(page.locator("[data-refused]")).to_contain_text("W1 sill")
    page.click('[data-refused] button:has-text("Mine")')
    expect(page.locator("[data-kept]")).to_have_text("On the server")
    kept = room_of(embedded, key)
    record = kept.kept.record
    assert record.height_m == 2.6
    assert [(w.id, w.sill_m, w.width_m, w.transmittance) for w in record.windows or ()] == [
        ("W1", 0.8, 1.9, 0.7)
    ]
    assert [(c.id, c.breaker_a) for c in record.circuits or ()] == [("K1", 16), ("K2", 16)]
    assert [outlet.circuit for outlet in record.outlets or ()] == ["K2"]
    with open_work(embedded, reading=True) as work:
        place = location(work, 1).kept.record
    assert [(one.name, one.phone) for one in place.contacts or ()] == [
        ("Mrs Osei", "+44 117 496 0000")
    ]
    assert place.hazards == "Low beam"
    page.click('[data-to="openings"]')
    page.click('[data-things] button:has-text("W1")')
    expect(page.locator('[data-key="open.width"]')).to_have_value("1.9")  # the other's
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_the_phones_senses(browser: Browser, address: str, embedded: Settings) -> None:
    page = walking(browser, address, embedded, width=360)
    page.context.grant_permissions(["geolocation", "accelerometer", "gyroscope", "magnetometer"])
    page.context.set_geolocation({"latitude": 51.45, "longitude": -2.58, "accuracy": 12})
    assert page.evaluate("document.documentElement.scrollWidth") == 360
    page.click("text=Bedroom")
    page.click('[data-to="facing"]')
    page.evaluate(
        """() => { setInterval(() => { for (const alpha of [92, 88, 90]) dispatchEvent(
        new DeviceOrientationEvent('deviceorientationabsolute',
        { absolute: true, alpha, beta: 90, gamma: 0 })); }, 50); }"""
    )
    page.click("[data-compass]")
    # by hand: upright, its back looks where its upper edge did when flat; alpha 90 is west
    expect(page.locator("[data-compass-said]")).to_contain_text("270°, magnetic")
    page.click('[data-to="access"]')
    page.click("[data-gps]")
    expect(page.locator("[data-gps-said]")).to_contain_text("give or take 12 m")
    page.click('[data-to="send"]')
    page.click("[data-send]")
    expect(page.locator("[data-kept]")).to_have_text("On the server")
    with open_work(embedded, reading=True) as work:
        place = location(work, 1).kept.record
    assert (place.latitude_deg, place.longitude_deg) == (51.45, -2.58)


FITS = """async (all) => {
  const { dataset } = document.querySelector('#walk');
  const { misfits } = await import(dataset.fitting);
  const metres = (m) => `${m.toFixed(2)} m`;
  const says = { ...JSON.parse(dataset.fits), said: metres, typed: (m) => `${Number(m.toFixed(3))} m` };
  return all.map(({ sheet, walls, corners }) => misfits(sheet, walls, corners, says)
    .map(({ kind, id, field, value, because }) => [kind, id, field, value === null ? because : `“${says.typed(value)}” ${because}`]));
}"""


def test_the_phone_says_of_facts_what_the_record_says(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = walking(browser, address, embedded)
    given, expected = [], []
    for facts, codes in FITTING:
        sheet = sheet_of(facts)
        corners = RoomRecord.read(sheet["room"]).corners_m
        assert corners is not None
        lengths = {wall.letter: wall.length_m for wall in geometry.walls(corners)}
        plan = [list(map(float, corner)) for corner in corners]
        given.append({"sheet": sheet, "walls": lengths, "corners": plan})
        found = refusals_of(facts)
        assert len(found) == len(codes)
        expected.append(
            [
                [kind, label, field, str(one.because) if kind == "marks" else say(one)]
                for kind, label, field, one in found
            ]
        )
    plain = [[[*where, words.replace("\u00a0", " ")] for *where, words in row] for row in expected]
    assert page.evaluate(FITS, given) == plain


def test_what_does_not_fit_is_said_while_it_is_tapped_and_sent_all_the_same(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = walking(browser, address, embedded, 360)
    page.fill('[data-key="name"]', "Hall")
    page.click('[data-to="shape"]')
    for key, typed in (("width", "4"), ("depth", "3"), ("height", "2.5")):
        page.fill(f'[data-key="{key}"]', typed)
    page.click('[data-to="openings"]')
    page.click('[data-walls="at"] [aria-label="Wall A"]')
    page.click('text="Tall window"')
    page.fill('[data-key="open.width"]', "2.8")
    page.fill('[data-key="open.offset"]', "1.5")
    fault = page.locator('[data-field="open.offset"] .fault')
    expect(fault).to_contain_text("“1.5 m” puts the right edge at 4.30 m, past the end of wall A")
    page.fill('[data-key="open.offset"]', "1")
    expect(fault).to_be_hidden()
    page.click('[data-walls="at"] [aria-label="Wall A"]')
    page.locator("[data-presets] button").filter(has_text="Door").first.click()
    expect(fault).to_contain_text("makes D1 overlap W1 on wall A")
    # a shape with fewer walls: what stood on one that is gone is asked where it stands
    page.click('[data-to="shape"]')
    page.click('text="Walk the wall"')
    for at, turn in enumerate(("right", "right", "left", "right", "right", "")):
        page.fill(f"#leg-{at}", ("4", "1.5", "2", "1.5", "2", "3")[at])
        if turn:
            page.click(f'[aria-label="Wall {"ABCDEF"[at]}, then turn {turn}"]')
    page.click('[data-to="openings"]')
    page.click('[data-walls="at"] [aria-label="Wall E"]')
    page.click('text="Low socket"')
    page.click('[data-to="shape"]')
    page.click('text="Rectangle"')
    page.click('[data-to="send"]')
    page.click('[data-missing] button:text-is("P1: on which wall?")')
    lost = page.locator("[data-things] .fault", has_text="There is no wall E: on which wall is it?")
    expect(lost).to_be_visible()
    page.click('text="P1, wall E"')
    page.click('[data-walls="of"] [aria-label="Wall B"]')
    expect(lost).to_have_count(0)
    expect(page.locator("[data-astray]")).to_be_hidden()
    # a wall measured again: the window is told of where it stands in the list, and at the end
    page.click('[data-to="shape"]')
    page.fill('[data-key="width"]', "2.5")
    page.click('[data-to="send"]')
    told = page.locator("[data-missing] button", has_text="is wider than wall A, 2.50 m long")
    expect(told).to_be_visible()
    told.click()
    expect(page.locator("[data-things] .fault").first).to_contain_text("is wider than wall A")
    page.click('[data-to="send"]')
    page.click("[data-send]")
    expect(page.locator("#walk")).to_contain_text("Not accepted yet")


def test_what_does_not_fit_is_said_in_a_form_as_on_the_walk(
    browser: Browser, address: str, embedded: Settings
) -> None:
    room = {"name": "Hall", "width_m": 4, "length_m": 3, "height_m": 2.5}
    door = {"id": "D1", "wall": "A", "offset_m": 2, "width_m": 0.9, "height_m": 2}
    with open_work(embedded) as work:
        people.add_person(work, Person(email=EMAIL, name="Ada"), PASSWORD)
        add_location(work, LocationRecord(name="Weir House"))
        rooms.add_room(work, 1, RoomRecord.read(room))
        rooms.add_part(work, 1, "doors", Door.read(door))
    page = browser.new_context(viewport={"width": 390, "height": 780}).new_page()
    log_in(page, address)
    page.goto(f"{address}/rooms/1/windows/new")
    fault = page.locator(".field:has(#width_m) .fault, .field:has(#offset_m) .fault")
    page.select_option("#wall", "B")
    page.fill("#width_m", "3.2")
    expect(fault).to_have_text("“3.2 m” is wider than wall B, 3.00 m long")
    page.select_option("#wall", "A")  # another wall, as long as 4 m
    expect(fault.filter(visible=True)).to_have_count(0)
    page.fill("#offset_m", "1")
    expect(fault.filter(visible=True)).to_contain_text("puts the right edge at 4.20 m")
    page.fill("#width_m", "1.2")
    # by hand: from 1 to 2.2 m, and the door begins at 2: the door is told of, for it comes later
    expect(fault.filter(visible=True)).to_have_text("D1: “2 m” makes D1 overlap W1 on wall A")
    page.fill("#width_m", "0.9")
    expect(fault.filter(visible=True)).to_have_count(0)
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(f"{address}/rooms/1/outlets/new")
    page.select_option("#wall", "A")
    page.fill("#offset_m", "4.1")
    expect(page.locator(".field:has(#offset_m) .fault")).to_have_text(
        "“4.1 m” is past the end of wall A, 4.00 m long"
    )


def numbers(page: Page, script: str, *given: Any) -> Any:
    address = page.url.split("/locations")[0]
    return page.evaluate(
        f"async (given) => {{ const shape = await import('{address}/static/typed.js');"
        f" const walls = await import('{address}/static/walk-shape.js');"
        f" return ({script})({{ ...shape, ...walls }}, ...given); }}",
        list(given),
    )


def test_its_numbers(browser: Browser, address: str, embedded: Settings) -> None:
    page = walking(browser, address, embedded)
    # From memory: Ghilani and Wolf, Elementary Surveying, tables 10.3 and 10.4: departures and
    # latitudes of a traverse of five legs in feet, and the same balanced by the compass rule. The
    # corrections were worked out again by hand: 0.026 and 0.077 times each length over 2466.05.
    steps = [
        [517.451, -388.815],
        [5.966, -202.942],
        [192.889, 694.045],
        [-590.565, 153.708],
        [-125.715, -255.919],
    ]
    balanced = [
        [517.444, -388.835],
        [5.964, -202.948],
        [192.881, 694.022],
        [-590.571, 153.689],
        [-125.718, -255.928],
    ]
    found = numbers(page, "(shape, steps) => shape.closed(steps)", steps)
    for mended, expected in zip(found["mended"], balanced, strict=True):
        assert mended == pytest.approx(expected, abs=1e-3)
    assert found["off_m"] == pytest.approx(0.081, abs=1e-3)
    assert numbers(page, "(shape) => shape.length('1.2+0.8-0.5')") == pytest.approx(1.5)  # by hand
    added = numbers(page, "(shape, t) => shape.length(t, 'feet')", "4' 2\" + 1'")
    assert added == pytest.approx(62 * 0.0254)  # by hand
    # property: read as the server's own forms read them
    every = "(shape, all) => all.map((given) => shape.length(...given)?.toFixed(9) ?? null)"
    alone = [[text, "metric", {"runs": False}] for text in [t for t, _ in LENGTHS] + NO_LENGTHS]
    heard = numbers(page, every, alone)
    assert [float(one) for one in heard[: len(LENGTHS)]] == pytest.approx([m for _, m in LENGTHS])
    assert set(heard[len(LENGTHS) :]) == {"NaN"}
    asked = "(shape, all) => all.map((given) => shape.couldBe(...given))"
    assert numbers(page, asked, [one[:3] for one in ASKED]) == [[*offers] for *_, offers in ASKED]
    turned = "(shape, all) => all.map((text) => shape.bearing(text))"
    for (text, degrees, doubt), found in zip(
        BEARINGS, numbers(page, turned, [text for text, *_ in BEARINGS]), strict=True
    ):
        assert (found["degrees"], found.get("doubt")) == (degrees, doubt), text
    assert numbers(page, turned, NO_BEARINGS) == [None] * len(NO_BEARINGS)
    for text in POSITIONS:
        found = numbers(page, "(shape, t) => shape.position(t)", text)
        assert found == pytest.approx(parse_position(text), abs=1e-9), text
    for text in (
        "geo:51.45,-2.58;u=35",
        "https://maps.example.org/@51.45,-2.58,17z",
        "https://maps.example.org/?q=51.45%2C-2.58",
        "https://maps.example.org/#map=16/51.45/-2.58",
    ):
        assert numbers(page, "(shape, t) => shape.position(t)", text) == [51.45, -2.58], text
    for text in NO_POSITIONS:
        assert numbers(page, "(shape, t) => shape.position(t)", text) is None, text
    # by hand: north is the mean of 350 and 10, not south
    assert numbers(page, "(shape) => shape.meanBearing([350, 10]).bearing % 360") == pytest.approx(
        0, abs=1e-6
    )
