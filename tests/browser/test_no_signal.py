"""A phone in a basement: pages that were seen stay readable, and what is typed arrives once."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from scout.records import LocationRecord, Person
from scout.settings import Settings
from scout.usecases import gates, people, rooms
from scout.usecases.locations import add_location
from scout.usecases.work import open_work
from tests.browser.conftest import EMAIL, PASSWORD, log_in

pytestmark = pytest.mark.browser


# what IndexedDB and the caches hold, as one text
ON_THE_PHONE = """async () => {
  const db = await new Promise((done) => { const r = indexedDB.open("sillbook"); r.onsuccess = () => done(r.result); });
  const all = (kind) => new Promise((done) => { const r = db.transaction(kind).objectStore(kind).getAll(); r.onsuccess = () => done(r.result); });
  const held = [await all("drafts"), await all("outbox")];
  db.close();
  const texts = [JSON.stringify(held)];
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const key of await cache.keys()) texts.push(await (await cache.match(key)).text());
  }
  return texts.join();
}"""


def phone(browser: Browser, address: str, settings: Settings) -> Page:
    with open_work(settings) as work:
        people.add_person(work, Person(email=EMAIL, name="Ada"), PASSWORD)
        add_location(work, LocationRecord(name="Weir House"))
    page = browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    log_in(page, address)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    return page


def count(settings: Settings) -> int:
    with open_work(settings, reading=True) as work:
        return rooms.find_rooms(work).total


def type_a_room(page: Page, name: str) -> None:
    page.fill("input[name=name]", name)
    page.fill("input[name=width_m]", "4")
    page.fill("input[name=length_m]", "5")


def test_a_room_saved_without_signal_arrives_once_when_there_is(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = phone(browser, address, embedded)
    page.goto(f"{address}/rooms")
    page.goto(f"{address}/locations/1/rooms/new")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    page.context.set_offline(True)
    type_a_room(page, "Cellar")
    page.click('.actions button:has-text("Record the room")')
    expect(page.locator(".outbox-bar")).to_contain_text("kept on this phone")
    assert count(embedded) == 0
    page.goto(f"{address}/rooms")
    expect(page.locator("h1")).to_have_text("Rooms")  # a page that was seen, from the phone
    expect(page.locator("[data-outbox]")).to_have_text("1 on this phone, not sent")
    page.goto(f"{address}/productions")
    expect(page.locator("h1")).to_have_text("On this phone, not sent yet")
    expect(page.locator("[data-outbox-list] li")).to_have_count(1)
    page.context.set_offline(False)
    page.click("[data-outbox-now]")
    expect(page.locator("[data-outbox-list] li")).to_have_count(0)
    expect(page.locator("[data-outbox-none]")).to_be_visible()
    assert count(embedded) == 1
    page.reload()
    page.goto(f"{address}/rooms")
    expect(page.locator("tbody tr")).to_have_count(1)


def test_a_double_tap_sends_once_and_nothing_stays_behind(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = phone(browser, address, embedded)
    page.goto(f"{address}/locations/1/rooms/new")
    type_a_room(page, "Attic")
    page.evaluate(
        "form => { form.requestSubmit(); form.requestSubmit(); }",
        page.query_selector("form[data-guard]"),
    )
    page.wait_for_url("**/rooms/1*")
    # what a page was sending when it was left or killed has no state, and is sent after a while
    page.evaluate(
        """async () => {
          const db = await new Promise((done) => { const r = indexedDB.open("sillbook"); r.onsuccess = () => done(r.result); });
          const entry = (once, at) => ({ once, at, page: "/", title: "left", action: "/locations/1/rooms/new",
            pairs: [["csrf_token", ""], ["name", once], ["setting", "interior"]] });
          const box = db.transaction("outbox", "readwrite").objectStore("outbox");
          box.put(entry("aaaaaaaa-1111-4111-8111-aaaaaaaaaaaa", Date.now() - 100000));
          box.put(entry("bbbbbbbb-1111-4111-8111-bbbbbbbbbbbb", Date.now()));
          await new Promise((done) => { box.transaction.oncomplete = done; });
          db.close();
        }"""
    )
    page.goto(f"{address}/rooms")
    expect(page.locator("[data-outbox]").first).to_have_text("1 on this phone, not sent")
    assert count(embedded) == 2  # by hand: the attic once, what was left, not what is on its way


def test_a_code_typed_without_signal_leaves_the_phone_when_it_is_sent(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = phone(browser, address, embedded)
    page.goto(f"{address}/locations/1/codes/new")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    page.context.set_offline(True)
    page.fill("input[name=label]", "Garden gate")
    page.fill("input[name=code]", "Zq4711gate")
    page.click('.actions button:has-text("Keep the code")')
    expect(page.locator(".outbox-bar")).to_contain_text("kept on this phone")
    assert "Zq4711gate" in page.evaluate(ON_THE_PHONE)
    page.goto(f"{address}/outbox")
    assert "Zq4711gate" not in page.content()
    page.context.set_offline(False)
    page.click("[data-outbox-now]")
    expect(page.locator("[data-outbox-list] li")).to_have_count(0)
    page.goto(f"{address}/locations/1")
    page.click('button:has-text("Show")')
    expect(page.locator(".key")).to_have_text("Zq4711gate")
    assert "Zq4711gate" not in page.evaluate(ON_THE_PHONE)
    page.clock.install()
    page.reload()  # the same question again, with its answer's time in our hands
    expect(page.locator(".key")).to_have_text("Zq4711gate")
    page.clock.run_for(31_000)
    page.wait_for_url("**/locations/1#codes")
    assert "Zq4711gate" not in page.content()
    with open_work(embedded, reading=True) as work:
        assert [one.shown is not None for one in gates.of_place(work, 1) or ()] == [True]


def test_what_was_typed_survives_a_tab_that_was_killed(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = phone(browser, address, embedded)
    page.goto(f"{address}/locations/1/rooms/new")
    type_a_room(page, "Loft")
    page.wait_for_timeout(400)
    context = page.context
    page.close(run_before_unload=False)
    page = context.new_page()
    page.goto(f"{address}/locations/1/rooms/new")
    expect(page.locator(".outbox-bar")).to_contain_text("never sent")
    page.click("text=Put it back")
    expect(page.locator("input[name=name]")).to_have_value("Loft")
    page.click('.actions button:has-text("Record the room")')
    page.wait_for_url("**/rooms/1")
    page.goto(f"{address}/locations/1/rooms/new")
    expect(page.locator(".outbox-bar")).to_have_count(0)
    assert count(embedded) == 1


def test_the_way_back_finds_what_was_typed(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = phone(browser, address, embedded)
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(f"{address}/locations/1")
    page.goto(f"{address}/locations/1/rooms/new")
    type_a_room(page, "Loft")
    page.go_back()
    page.go_forward()
    expect(page.locator(".outbox-bar")).to_contain_text("As you left it, and not sent yet.")
    expect(page.locator("input[name=name]")).to_have_value("Loft")
    page.go_back()  # it is still guarded and kept, though nobody typed again
    page.goto(f"{address}/locations/1/rooms/new")
    expect(page.locator("input[name=name]")).to_have_value("")
    expect(page.locator(".outbox-bar")).to_contain_text("never sent")
    page.click("text=Put it back")
    page.click('.actions button:has-text("Record the room")')
    page.wait_for_url("**/rooms/1*")
    assert count(embedded) == 1


def test_what_waits_outlives_the_session(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = phone(browser, address, embedded)
    page.goto(f"{address}/locations/1/rooms/new")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    page.context.set_offline(True)
    type_a_room(page, "Vestry")
    page.click('.actions button:has-text("Record the room")')
    expect(page.locator(".outbox-bar")).to_contain_text("kept on this phone")
    page.context.clear_cookies()
    page.context.set_offline(False)
    page.goto(f"{address}/outbox")
    page.click("[data-outbox-now]")
    expect(page.locator("[data-outbox-list] li")).to_have_count(1)
    assert count(embedded) == 0
    log_in(page, address)
    for _ in range(120):  # it is sent by itself, as soon as the page has looked what waits
        if count(embedded):
            break
        page.wait_for_timeout(250)
    expect(page.locator("[data-outbox]")).to_be_hidden()
    assert count(embedded) == 1


def test_what_is_refused_comes_back_with_what_was_typed(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = phone(browser, address, embedded)
    page.goto(f"{address}/locations/1/rooms/new")
    type_a_room(page, "Attic")
    page.fill("input[name=width_m]", "wide")
    page.click('.actions button:has-text("Record the room")')
    expect(page.locator("#faults")).to_be_visible()
    expect(page.locator("input[name=name]")).to_have_value("Attic")
    expect(page.locator("[data-outbox]")).to_be_hidden()
    page.fill("input[name=width_m]", "4")
    page.click('.actions button:has-text("Record the room")')
    page.wait_for_url("**/rooms/1")
    assert count(embedded) == 1
