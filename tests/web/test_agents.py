"""Browsers are told by what they call themselves, and never as more than that."""

from __future__ import annotations

import pytest
from markupsafe import escape

from scout.web.agents import browser_of
from tests.web.conftest import Browser

WEBKIT = "AppleWebKit/605.1.15 (KHTML, like Gecko)"
BLINK = "AppleWebKit/537.36 (KHTML, like Gecko)"


# from memory: as browsers of these years call themselves
@pytest.mark.parametrize(
    ("sent", "browser", "system"),
    [
        (
            f"Mozilla/5.0 (iPhone; CPU iPhone OS 18_1 like Mac OS X) {WEBKIT} Version/18.1 Mobile/15E148 Safari/604.1",
            "Safari",
            "an iPhone",
        ),
        (
            f"Mozilla/5.0 (iPhone; CPU iPhone OS 18_1 like Mac OS X) {WEBKIT} CriOS/130.0.6723.90 Mobile/15E148 Safari/604.1",
            "Chrome",
            "an iPhone",
        ),
        (
            f"Mozilla/5.0 (iPhone; CPU iPhone OS 18_1 like Mac OS X) {WEBKIT} FxiOS/132.0 Mobile/15E148 Safari/605.1.15",
            "Firefox",
            "an iPhone",
        ),
        (
            f"Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) {WEBKIT} Version/18.1 Safari/605.1.15",
            "Safari",
            "a Mac or an iPad",
        ),
        (
            f"Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) {BLINK} Chrome/130.0.0.0 Safari/537.36",
            "Chrome",
            "a Mac",
        ),
        (
            f"Mozilla/5.0 (Linux; Android 10; K) {BLINK} Chrome/130.0.0.0 Mobile Safari/537.36",
            "Chrome",
            "Android",
        ),
        (
            f"Mozilla/5.0 (Linux; Android 10; K) {BLINK} SamsungBrowser/27.0 Chrome/125.0.0.0 Mobile Safari/537.36",
            "Samsung Internet",
            "Android",
        ),
        (
            "Mozilla/5.0 (Android 14; Mobile; rv:132.0) Gecko/132.0 Firefox/132.0",
            "Firefox",
            "Android",
        ),
        (
            f"Mozilla/5.0 (Windows NT 10.0; Win64; x64) {BLINK} Chrome/130.0.0.0 Safari/537.36 Edg/130.0.0.0",
            "Edge",
            "Windows",
        ),
        (
            f"Mozilla/5.0 (Windows NT 10.0; Win64; x64) {BLINK} Chrome/129.0.0.0 Safari/537.36 OPR/115.0.0.0",
            "Opera",
            "Windows",
        ),
        (
            f"Mozilla/5.0 (X11; CrOS x86_64 14541.0.0) {BLINK} Chrome/130.0.0.0 Safari/537.36",
            "Chrome",
            "ChromeOS",
        ),
        (
            "Mozilla/5.0 (X11; Linux x86_64; rv:132.0) Gecko/20100101 Firefox/132.0",
            "Firefox",
            "Linux",
        ),
        ("curl/8.10.1", None, None),
        ("<b>Chrome</b>", None, None),
        (None, None, None),
    ],
)
def test_a_browser_is_known_by_what_it_calls_itself(
    sent: str | None, browser: str | None, system: str | None
) -> None:
    assert browser_of(sent) == (browser, system)


@pytest.mark.parametrize(
    ("sent", "shown"),
    [
        ("Mozilla/5.0 (X11; Linux x86_64; rv:132.0) Firefox/132.0", "Firefox on Linux"),
        ("<i>odd</i>", "A browser"),
    ],
)
def test_the_page_says_it_in_words_and_keeps_what_was_sent(
    stranger: Browser, sent: str, shown: str
) -> None:
    stranger.client.environ_base["HTTP_USER_AGENT"] = sent
    stranger.log_in()
    page = stranger.get("/sessions").text
    assert f"<span>{shown}</span>" in page
    assert str(escape(sent)) in page
    assert "<i>odd" not in page
