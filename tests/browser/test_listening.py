"""A recording is sent, measured with its progress, and played, by a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from scout.records import LocationRecord, Person, RoomRecord
from scout.settings import Settings
from scout.usecases import locations, people, rooms
from scout.usecases.work import open_work
from tests.media.recordings.made import coded, noise, plain_wav, sine

pytestmark = pytest.mark.browser
RATE = 48000


@pytest.fixture
def room_id(embedded: Settings) -> int:
    """A room, and Ada who may log in."""
    with open_work(embedded) as work:
        people.add_person(
            work, Person(name="Ada Example", email="ada@example.org"), "a long enough one"
        )
        place = locations.add_location(work, LocationRecord(name="Mill"))
        return rooms.add_room(
            work,
            place,
            RoomRecord.read(
                {
                    "name": "Loft",
                    "setting": "interior",
                    "width_m": 4,
                    "length_m": 5,
                    "height_m": 2.5,
                }
            ),
        )


def test_sent_measured_and_played(
    browser: Browser, room_id: int, address: str, tmp_path: Path
) -> None:
    signal = noise(RATE, 9, -50, 1) + sine(RATE, 9, 50, -45)
    files = {
        "room.wav": tmp_path / "room.wav",
        "room.caf": coded(tmp_path / "room.caf", signal, RATE, box="caf", codec="pcm_s16le"),
    }
    files["room.wav"].write_bytes(plain_wav(signal))
    context = browser.new_context(viewport={"width": 390, "height": 844})
    context.set_default_timeout(60_000)
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on(
        "console", lambda message: faults.append(message.text) if message.type == "error" else None
    )
    page.goto(f"{address}/login")
    page.get_by_label("E-mail", exact=False).fill("ada@example.org")
    page.get_by_label("Password", exact=False).first.fill("a long enough one")
    page.locator("main form button").first.click()
    for path in files.values():
        page.goto(f"{address}/rooms/{room_id}/sound")
        page.locator("#recordings-files").set_input_files(str(path))
        page.get_by_label("Conditions").fill("fridge on")
        page.get_by_role("button", name="Send the recordings").click()
        page.wait_for_url("**/recordings/*")
        expect(page.get_by_text("Find the hum at 50")).to_be_visible()
        played = page.evaluate("""async () => {
            const player = document.querySelector("audio");
            player.muted = true;
            await player.play();
            await new Promise((done) => setTimeout(done, 700));
            return [player.currentTime, player.duration, player.error === null];
        }""")
        assert played[0] > 0.2
        assert played[1] == pytest.approx(9.0, abs=0.1)
        assert played[2]
        assert page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )
    assert faults == []
    context.close()
