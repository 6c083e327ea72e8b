"""All message templates by code, gathered from `english/`; a code stands in one file only.

A template is a text, or three things for a message that counts: (one, many, the value counted).
`{name}` says a value, `{name:spec}` says it in a certain way (see `speaker.py`); what stands in
square brackets is left out when a value in it is None. A finding's code has a line and a full
sentence: `"light.short"` and `"light.short.full"`; without the second the line serves for both.
A line may have words of its own for a level: `"light.enough.care"`.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from pkgutil import iter_modules

from scout.words import english

Template = str | tuple[str, str, str]


def _gathered() -> Mapping[str, Template]:
    found: dict[str, Template] = {}
    for module in sorted(one.name for one in iter_modules(english.__path__)):
        for code, template in import_module(f"{english.__name__}.{module}").MESSAGES.items():
            if code in found:
                raise ValueError(f"{code} stands twice, the second time in english/{module}.py")
            found[code] = template
    return found


MESSAGES: Mapping[str, Template] = _gathered()
