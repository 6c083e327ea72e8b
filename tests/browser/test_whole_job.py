"""The whole job as a new user on a phone: from the first visit to a packet whose text is found
again.
"""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

pytestmark = pytest.mark.browser
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 900}


def photo(path: Path) -> Path:
    """A drawn picture of a window, invented for this test."""
    image = Image.new("RGB", (1200, 900), (200, 190, 170))
    ImageDraw.Draw(image).rectangle(
        (400, 200, 800, 600), fill=(230, 240, 255), outline=(60, 60, 60), width=8
    )
    image.save(path, "JPEG")
    return path


def fill(page: Page, fields: dict[str, str]) -> None:
    for label, value in fields.items():
        page.get_by_label(label, exact=False).first.fill(value)


def save(page: Page) -> None:
    # the form is kept on the phone and sent by a script: what follows begins with the page after it
    with page.expect_navigation(wait_until="load"):
        page.locator("main form button.main-button").first.click()


def goes(page: Page, name: str) -> None:
    page.get_by_role("link", name=name, exact=False).first.click()
    page.wait_for_load_state()


def add_room(page: Page, name: str, width: str, length: str) -> None:
    goes(page, "Add a room")
    fill(
        page,
        {
            "Name": name,
            "Width, along x": width,
            "Length, along y": length,
            "Ceiling height": "8' 10\"",
            "Bearing, looking out": "182",
        },
    )
    page.get_by_label("Setting").select_option("interior")
    page.get_by_label("Wall").first.select_option("A")
    page.get_by_label("Which north").select_option("magnetic")
    save(page)
    expect(page.locator("h1")).to_have_text(name)


def no_sideways_scroll(page: Page) -> None:
    assert page.evaluate(
        "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
    ), page.url


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_whole_job_as_a_new_user(
    browser: Browser, address: str, tmp_path: Path, size: dict[str, int]
) -> None:
    context = browser.new_context(viewport=size, accept_downloads=True)  # type: ignore[arg-type]
    context.set_default_timeout(60_000)
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    # the two forms refused on purpose are told to the console as 422
    page.on(
        "console",
        lambda message: (
            faults.append(message.text)
            if message.type == "error" and "422" not in message.text
            else None
        ),
    )
    page.on(
        "request",
        lambda request: (
            faults.append(request.url)
            if not request.url.startswith((address, "data:", "blob:"))
            else None
        ),
    )

    # the first visit, from the same machine, makes the first user
    page.goto(address)
    fill(page, {"Your name": "Nora Field", "E-mail": "nora@example.org"})
    page.locator("input[name=password]").fill("a long enough one")
    page.locator("input[name=again]").fill("a long enough one")
    save(page)

    # a location; half a position is refused, and nothing typed is lost
    page.goto(f"{address}/locations")
    goes(page, "Record a location")
    fill(page, {"Name": "Weir House", "Latitude": "52.2", "Address": "1 Example Lane"})
    save(page)
    expect(page.locator("main")).to_contain_text("give both or neither")
    expect(page.get_by_label("Address").first).to_have_value("1 Example Lane")
    fill(page, {"Longitude": "0.12"})
    save(page)
    expect(page.locator("h1")).to_have_text("Weir House")
    expect(page.locator("main")).to_contain_text("Europe/London")
    place = page.url.partition("#")[0]
    no_sideways_scroll(page)

    # two rooms, one measured in feet and inches
    add_room(page, "Long parlour", "5,0 m", "21' 4\"")
    room = page.url.partition("#")[0]
    page.goto(place)
    add_room(page, "Store", "3", "4")
    page.goto(room)

    # a window too wide for its wall is refused by name; then one that fits
    page.goto(f"{room}/windows/new")
    fill(
        page,
        {
            "Label": "W1",
            "Left end of the wall": "1.5",
            "Sill": "0.9",
            "Clear width": "6",
            "Clear height": "1.5",
        },
    )
    page.get_by_label("Wall").first.select_option("A")
    save(page)
    expect(page.locator("main")).to_contain_text("wider than wall A")
    fill(page, {"Clear width": "2"})
    save(page)
    expect(page.locator("main")).to_contain_text("W1")

    # marks, so that light and fit can be worked out
    page.goto(f"{room}/marks")
    for name, value in zip(
        ("subject", "camera"), (("2.5", "3", "1.2"), ("2.5", "0.8", "1.4")), strict=True
    ):
        boxes = page.locator(f"input[name^={name}]:not([name^=subject_normal])")
        for at, part in enumerate(value):
            boxes.nth(at).fill(part)
    save(page)

    # a photo, and a note for each audience
    page.goto(f"{room}/recorded")
    page.set_input_files("input[type=file]", str(photo(tmp_path / "window.jpg")))
    page.get_by_role("button", name="Send the photos").click()
    page.wait_for_load_state("networkidle")
    page.goto(f"{room}/recorded")
    expect(page.locator("img[src*='/photos/']").first).to_be_visible()
    notes = (
        ("Kettle clicks off after four minutes", "crew"),
        ("Do not tell the owner about the scratch", "private"),
    )
    for count, (text, who) in enumerate(notes, 1):
        page.locator("textarea[name=text]").first.fill(text)
        page.locator("select[name=audience], input[name=audience]").first.select_option(who)
        page.get_by_role("button", name="Add the note").click()
        expect(page.locator("article.note")).to_have_count(count)
    page.goto(f"{room}/recorded")
    expect(page.locator("main")).to_contain_text("Kettle clicks off")
    no_sideways_scroll(page)

    # a production, a scene with needs, two candidates, the comparison
    page.goto(f"{address}/productions/new")
    fill(page, {"Title": "Weir Stories", "Shoot dates": "2026-06-21"})
    save(page)
    production = page.url.partition("#")[0]
    goes(page, "Add a scene")
    fill(page, {"Name": "The lock keeper talks"})
    page.get_by_label("A further need").select_option("floor")
    page.get_by_role("button", name="Add the need").click()
    page.wait_for_load_state()
    page.locator("select[name$=strength]").first.select_option("must")
    page.locator("input[name$=width_m]").first.fill("4")
    page.locator("input[name$=length_m]").first.fill("5")
    save(page)
    expect(page.locator("h1")).to_have_text("The lock keeper talks")
    scene = page.url.partition("#")[0]
    for _ in range(2):
        page.goto(scene)
        goes(page, "Propose a room")
        page.locator("main form button").filter(has_text="Propose").first.click()
        page.wait_for_load_state()
    page.goto(scene)
    goes(page, "Compare the rooms")
    main = page.locator("main")
    for words in (
        "Long parlour",
        "Store",
        "clear floor 4.00 m by 5.00 m",
        "passes",
        "does not pass",
    ):
        expect(main).to_contain_text(words)
    no_sideways_scroll(page)

    # the choice, then the packet
    page.goto(f"{address}/candidates/1")
    expect(page.locator("h1")).to_contain_text("Long parlour")
    page.locator("select[name=state]").select_option("first_choice")
    save(page)
    page.goto(production)
    page.get_by_role("button", name="Print the packet").click()
    link = page.get_by_role("link", name="Save the packet")
    expect(link).to_be_visible(timeout=120_000)
    with page.expect_download() as waiting:
        link.click()
    pdf = PdfReader(io.BytesIO(Path(waiting.value.path()).read_bytes()))
    text = "\n".join(sheet.extract_text() for sheet in pdf.pages)
    for words in (
        "Weir Stories",
        "Weir House",
        "Long parlour",
        "Kettle clicks off after four minutes",
        "The lock keeper talks",
        "not recorded",
    ):
        assert words in text, words
    assert "scratch" not in text  # a private note never enters a packet
    assert faults == []
    context.close()
