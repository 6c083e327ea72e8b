"""Findings, acts, messages, figures, times, lengths, facts and lists, said for one reader.

`with reading(Reader(units="feet")):` sets who reads; `str()` of any value of `scout.values` is then
said for them. The sentences stand in `english/`, one catalogue a topic; another language is a
gettext file beside them (`locale/LANGUAGE/LC_MESSAGES/sillbook.po`) whose context is the code.
"""

from __future__ import annotations

from scout.values import speak_by_default
from scout.words.catalogue import MESSAGES
from scout.words.reader import Reader, current, reading, set_reader
from scout.words.speaker import act_line, full, line, or_line, say, when_words

speak_by_default(say)

__all__ = [
    "MESSAGES",
    "Reader",
    "act_line",
    "current",
    "full",
    "line",
    "or_line",
    "reading",
    "say",
    "set_reader",
    "when_words",
]
