"""Languages: English templates as they stand, others from a gettext file beside this module.

A translation's context is the message's code, so that two messages alike in English may differ.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from gettext import NullTranslations
from pathlib import Path

from babel import Locale
from babel.messages.pofile import read_po

from scout.words.catalogue import MESSAGES
from scout.words.reader import Reader, current

LOCALES = Path(__file__).parent / "locale"
ENGLISH = "en"
BABEL_NAMES = {ENGLISH: "en_GB"}  # "A, B and C", 24 hours, 3 May 2026


class Catalogue(NullTranslations):
    """One language read from its `.po` file; what it lacks is said in English."""

    def __init__(self, path: Path, locale: Locale) -> None:
        super().__init__()
        with path.open("rb") as file:
            messages = read_po(file, locale=locale)
        self._texts = {
            (message.context, message.id if isinstance(message.id, str) else message.id[0]): (
                (message.string,) if isinstance(message.string, str) else tuple(message.string)
            )
            for message in messages
            if message.id and message.string
        }
        self._plural = locale.plural_form

    def pgettext(self, context: str, message: str) -> str:
        """The message in this language."""
        found = self._texts.get((context, message))
        return str(found[0]) if found and found[0] else message

    def npgettext(self, context: str, msgid1: str, msgid2: str, n: int) -> str:
        """The message for so many, by the language's own plural forms."""
        found = self._texts.get((context, msgid1))
        if not found:
            return msgid1 if n == 1 else msgid2
        tags = sorted(self._plural.tags | {"other"}, key=_TAG_ORDER.index)
        index = min(tags.index(self._plural(n)), len(found) - 1)
        return str(found[index] or msgid2)


_TAG_ORDER = ["zero", "one", "two", "few", "many", "other"]
INSTALLED: dict[str, NullTranslations] = {}  # a test puts its pseudo-language here


@lru_cache(maxsize=8)
def locale_of(language: str) -> Locale:
    """Babel's locale of a language."""
    return Locale.parse(BABEL_NAMES.get(language, language))


def translations(language: str) -> NullTranslations:
    """The translations of a language; English has none to make."""
    if language in INSTALLED:
        return INSTALLED[language]
    return _from_file(language)


@lru_cache(maxsize=8)
def _from_file(language: str) -> NullTranslations:
    path = LOCALES / language / "LC_MESSAGES" / "sillbook.po"
    if language == ENGLISH or not path.is_file():
        return NullTranslations()
    return Catalogue(path, locale_of(language))


def translated(code: str, reader: Reader, count: float | None = None) -> str:
    """The template of a code in the reader's language; what is no whole number counts as many."""
    template, texts = MESSAGES[code], translations(reader.language)
    if isinstance(template, str):
        return texts.pgettext(code, template)
    number = int(count) if count is not None and float(count).is_integer() else 2
    return texts.npgettext(code, template[0], template[1], number)


def lists(code: str, text: str) -> bool:
    """Whether a text has one of the words of a message that lists them, parted by commas: in the
    reader's language or in English, whole words alone.
    """
    held = f" {plain(text)} "
    return any(f" {form} " in held for form in _forms(code))


def speaks_of(text: str, thing: str, unless: str) -> bool:
    """Whether a text speaks of a thing, in whole words, without one of the words that a message lists
    (`unless`) right behind it: "fridge off" does not speak of the fridge as heard.
    """
    held, sought = f" {plain(text)} ", f" {plain(thing)} "
    for form in _forms(unless):
        held = held.replace(f"{sought}{form} ", " ")
    return bool(sought.strip()) and sought in held


def without_end(text: str, code: str) -> str:
    """A text in plain words, without one that a message lists at its end."""
    held = plain(text)
    ends = (form for form in _forms(code) if held.endswith(f" {form}"))
    return held.removesuffix(max(ends, key=len, default="")).strip()


def _forms(code: str) -> Iterator[str]:
    for one in (current(), replace(current(), language=ENGLISH)):
        yield from map(plain, translated(code, one).split(","))


def plain(text: str) -> str:
    """Lower-case words with one space between: a stop or a hyphen parts them."""
    return " ".join("".join(c if c.isalnum() else " " for c in text.casefold()).split())
