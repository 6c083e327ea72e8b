"""Capture on a phone: fifty phones that send at once, the walk's first screen without signal, and a
hundred photos queued. What a browser measures needs Playwright and a Chromium, which come with the
tests.
"""

from __future__ import annotations

import http.client
import importlib
import io
import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import lru_cache, partial
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, build_opener
from uuid import uuid4

import numpy as np
from PIL import Image

from scout.bench.measure import Row, held
from scout.records import LocationRecord, Person, RoomRecord
from scout.settings import Settings
from scout.usecases import locations, people, rooms
from scout.usecases.work import open_work, prepare
from scout.values import said

PHONES, PHOTOS, PHOTO_BYTES = 50, 100, 4_000_000
MORE = (1, 2, 4)  # times as many photos queued: a day's worth
SLOWER = 4  # a phone of the middle against this machine, as browsers' own tools throttle
SCREEN_S, STALL_S, WITHIN = 1.0, 0.1, 2.0
QUALITY = 82  # just under 4 MB
THREADS = 8  # as `scout serve` has
EMAIL, PASSWORD = "bench@example.org", "a long enough one 77"
USABLE = "[data-onward]:not(:empty)"
# when the walk first says what comes next: from then on it can be used
READY = """() => { window.ready = 0; new MutationObserver((_, seen) => {
  if (!document.querySelector('[data-onward]')?.textContent) return;
  seen.disconnect(); requestAnimationFrame(() => setTimeout(() => { window.ready = performance.now(); }));
}).observe(document, { childList: true, subtree: true, characterData: true }); }"""
# the longest time between two turns of the page's event loop: so long it answered no thumb
WATCH = """() => { let last = performance.now(); window.longest = 0; const turn = new MessageChannel();
  turn.port1.onmessage = () => { const now = performance.now();
    window.longest = Math.max(window.longest, now - last); last = now;
    setTimeout(() => turn.port2.postMessage(0), 4); }; turn.port2.postMessage(0); }"""
CLEAR = """async () => { const box = await import(document.querySelector('#walk').dataset.box);
  const kinds = ['drafts', 'outbox', 'files'];
  await box.together(kinds, (kind) => { for (const one of kinds) kind(one).clear(); }); }"""
# the floor: the same bytes through the same server into a file, with nothing known of photos
PLAIN = """
import os, sys, tempfile, waitress
def keep(environ, answer):
    handle, _name = tempfile.mkstemp(dir=sys.argv[1])
    with os.fdopen(handle, "wb") as file:
        while data := environ["wsgi.input"].read(1 << 20):
            file.write(data)
        file.flush()
        os.fsync(file.fileno())
    answer("200 OK", [("Content-Type", "text/plain")])
    return [b"kept"]
server = waitress.create_server(keep, host="127.0.0.1", port=0, threads=int(sys.argv[2]))
print(f"http://127.0.0.1:{server.effective_port}/", flush=True)
server.run()
"""


def rows(
    phones: int = PHONES, photos: int = PHOTOS, photo_bytes: int = PHOTO_BYTES, times: int = 3
) -> Iterator[Row]:
    """The figures, each as soon as it is known."""
    with tempfile.TemporaryDirectory(prefix="sillbook-bench-") as folder:
        settings = Settings(data_dir=Path(folder) / "data")
        furnish(settings)
        environment = {**os.environ, "SILLBOOK_DATA": str(settings.data_dir)}
        ours = [sys.executable, "-m", "scout", "serve", "--port", "0", "--workers", "0"]
        with served(ours, environment) as port:
            yield many_phones(port, Path(folder), phones, photo_bytes, times)
            yield from on_a_phone(port, Path(folder), photos, photo_bytes, times)


def furnish(settings: Settings) -> None:
    """Somebody who may log in, a place and a room."""
    prepare(settings)
    with open_work(settings) as work:
        people.add_person(work, Person(email=EMAIL, name="Bench"), PASSWORD)
        place = locations.add_location(work, LocationRecord(name="Weir House"))
        rooms.add_room(work, place, RoomRecord(name="Hall"))


@contextmanager
def served(command: list[str], environment: dict[str, str]) -> Iterator[int]:
    """A server in a process of its own, as long as the block lasts; its port, by what it prints."""
    with subprocess.Popen(  # noqa: S603
        command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as server:
        try:
            assert server.stdout is not None
            found = re.search(r"127\.0\.0\.1:(\d+)", server.stdout.readline())
            if found is None:
                raise RuntimeError(f"{command[:4]} did not listen")
            yield int(found[1])
        finally:
            server.terminate()


# -- fifty phones


@lru_cache(maxsize=2)
def _whole(least_bytes: int) -> bytes:
    """A photo of twelve megapixels, as phones take them, or a small one for a trial."""
    side = 4000 if least_bytes >= PHOTO_BYTES else 400
    fine = np.random.default_rng(1).integers(0, 256, (side * 3 // 20, side // 5, 3), dtype=np.uint8)
    held = io.BytesIO()
    Image.fromarray(fine).resize((side, side * 3 // 4)).save(held, "JPEG", quality=QUALITY)
    return held.getvalue()


def photo(number: int, least_bytes: int) -> bytes:
    """A photo of that many bytes, no two alike: what stands behind a picture's end is no picture."""
    return _whole(least_bytes).ljust(least_bytes - 8, b"\0") + number.to_bytes(8, "big")


def many_phones(port: int, folder: Path, phones: int, photo_bytes: int, times: int) -> Row:
    """All of them send a photo at once; the same bytes beside it through a plain server."""
    headers, token = _logged_in(port)
    kept = {  # as outbox.js has them
        "Accept": "application/json",
        "Content-Disposition": "attachment; filename*=UTF-8''one.jpg",
        "X-CSRFToken": token,
        **headers,
    }
    numbers = iter(range(1_000_000))
    plain = folder / "plain"
    plain.mkdir()

    def bodies() -> list[bytes]:
        return [photo(next(numbers), photo_bytes) for _ in range(phones)]

    pairs, refused = [], 0
    with served([sys.executable, "-c", PLAIN, str(plain), str(THREADS)], dict(os.environ)) as floor:
        at_once(port, "/room/1/photos", kept, bodies()[:THREADS])  # what is loaded once
        for _ in range(times):
            sent = bodies()
            below = at_once(floor, "/", {}, sent)
            for file in plain.iterdir():
                file.unlink()
            ours = at_once(port, "/room/1/photos", kept, sent)
            refused += sum(status != 200 for status, _ in ours)
            pairs.append((_p95_s(ours), _p95_s(below)))
    value = statistics.median(one for one, _ in pairs)
    ratio = statistics.median(one / other for one, other in pairs)
    return Row(
        f"{phones} phones at once, {photo_bytes / 1e6:g} MB each, 95 of 100, {refused} refused",
        round(value * 1000),
        "ms",
        "writing the same bytes through plain waitress, same run",
        round(ratio, 2),
        f"at most {WITHIN:g}, none refused",
        ratio <= WITHIN and not refused,
    )


def _p95_s(answers: Iterable[tuple[int, float]]) -> float:
    return float(np.quantile([took for _, took in answers], 0.95, method="higher"))


def at_once(
    port: int, path: str, headers: dict[str, str], bodies: list[bytes]
) -> list[tuple[int, float]]:
    """Status and seconds of each, all sent in the same moment; 0: no answer came."""
    begin, done = threading.Barrier(len(bodies)), [(0, 0.0)] * len(bodies)

    def send(turn: int, body: bytes) -> None:
        begin.wait()
        started = time.perf_counter()
        try:
            status = _post(port, path, body, {**headers, "X-Once": str(uuid4())})
        except OSError:
            status = 0
        done[turn] = status, time.perf_counter() - started

    threads = [threading.Thread(target=send, args=pair) for pair in enumerate(bodies)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return done


def _post(port: int, path: str, body: bytes, headers: dict[str, str]) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=300)
    try:
        kind = {"Content-Type": "application/octet-stream"}
        connection.request("POST", path, body, {**kind, **headers})
        answer = connection.getresponse()
        answer.read()
        return answer.status
    finally:
        connection.close()


def _logged_in(port: int) -> tuple[dict[str, str], str]:
    """The cookie of a session, and its forms' token."""
    jar, address = CookieJar(), f"http://127.0.0.1:{port}"
    browser = build_opener(HTTPCookieProcessor(jar))
    found = re.search(
        rb'name="csrf_token" value="([^"]+)"', browser.open(f"{address}/login").read()
    )
    assert found is not None
    typed = {"csrf_token": found[1].decode(), "email": EMAIL, "password": PASSWORD, "then": ""}
    browser.open(f"{address}/login", urlencode(typed).encode()).read()
    token = json.load(browser.open(f"{address}/outbox/token"))["csrf_token"]
    return {"Cookie": "; ".join(f"{one.name}={one.value}" for one in jar)}, str(token)


# -- one phone


def on_a_phone(port: int, folder: Path, photos: int, photo_bytes: int, times: int) -> Iterator[Row]:
    """What a browser measures; a word on standard error where there is none."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    try:
        playwright = importlib.import_module("playwright.sync_api")
    except ImportError:
        playwright = None
    if playwright is None or chromium is None:
        sys.stderr.write(f"{said('command.bench_no_browser')}\n")
        return
    files = [folder / f"{number}.jpg" for number in range(MORE[-1] * photos)]
    files[0].write_bytes(photo(0, photo_bytes))
    for file in files[1:]:  # a phone that keeps them does not look into them
        os.link(files[0], file)
    address = f"http://127.0.0.1:{port}"
    with playwright.sync_playwright() as run:
        # with a folder of its own, as a phone's: else all of it would be kept in memory
        context = run.chromium.launch_persistent_context(
            str(folder / "phone"),
            executable_path=chromium,
            args=["--no-sandbox"],
            viewport={"width": 390, "height": 780},
        )
        page = context.new_page()
        page.goto(f"{address}/login")
        page.fill("input[name=email]", EMAIL)
        page.fill("input[name=password]", PASSWORD)
        page.click("main form button")
        page.wait_for_url(f"{address}/")
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        walk = f"{address}/locations/1/walk"
        for _ in range(2):  # seen once with its worker in place: now it is there without signal
            page.goto(walk)
            page.locator(USABLE).wait_for()
        context.set_offline(True)
        yield held(
            f"the walk's first screen without signal, processor slowed {SLOWER} times",
            _median(lambda: _first_screen_s(context, walk), times),
            SCREEN_S,
        )
        for more in MORE:
            some = files[: more * photos]
            yield held(
                f"{len(some)} photos of {photo_bytes / 1e6:g} MB queued, the longest time the page stood still",
                _median(partial(_stall_s, context, walk, some), times if more == 1 else 1),
                STALL_S,
            )
        context.close()


def _median(run: Callable[[], float], times: int) -> float:
    return statistics.median(run() for _ in range(times))


def _slowed(context: Any) -> Any:
    page = context.new_page()
    line = context.new_cdp_session(page)
    line.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    return page


def _first_screen_s(context: Any, walk: str) -> float:
    page = _slowed(context)
    page.add_init_script(f"({READY})()")
    page.goto(walk)
    page.locator(USABLE).wait_for()
    while not (found := float(page.evaluate("window.ready"))):
        page.wait_for_timeout(20)
    page.close()
    return found / 1000


def _stall_s(context: Any, walk: str, files: list[Path]) -> float:
    """Chosen, kept one by one, and put into the outbox with their room in one step."""
    page = context.new_page()
    page.goto(walk)
    page.locator(USABLE).wait_for()
    page.fill('[data-key="name"]', "Hall")
    page.evaluate(WATCH)
    page.set_input_files("#w-photo", files)
    page.locator("[data-photos] li").nth(len(files) - 1).wait_for(timeout=300_000)
    page.click('[data-to="send"]')
    page.click("[data-send]")
    page.locator("[data-states] li").nth(len(files)).wait_for(timeout=300_000)
    found = float(page.evaluate("window.longest"))
    page.evaluate(CLEAR)
    page.close()
    return found / 1000
