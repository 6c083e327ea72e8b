"""Which browser on which system a browser says it is: enough to know one's own again. Whoever calls
itself something else is believed, and what it sent stands beside it; a list of all that ever were would
be a package that wants renewing for one page.
"""

from __future__ import annotations

# nearly all call themselves Safari, and many Chrome: the first that is found is meant
BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS", "Firefox"),
    ("CriOS", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
SYSTEMS = (
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Android", "Android"),
    ("CrOS", "ChromeOS"),
    ("Windows", "Windows"),
    ("Macintosh", "a Mac"),
    ("Linux", "Linux"),
)
MAC_OR_IPAD = "a Mac or an iPad"  # Safari and its kin on an iPad ask for pages as a Mac's do


def browser_of(agent: str | None) -> tuple[str | None, str | None]:
    """Names of the browser and of its system; None for what is not known by this short list."""
    sent = agent or ""
    browser = next((name for mark, name in BROWSERS if mark in sent), None)
    system = next((name for mark, name in SYSTEMS if mark in sent), None)
    if system == "a Mac" and "Version/" in sent:
        system = MAC_OR_IPAD
    return browser, system
