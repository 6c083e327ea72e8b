"""The log as lines of JSON, for an installation that gathers the logs of several processes. What
people typed, tokens and addresses stand in no line: of an error its kind and where it arose are
said, never its words, and of a library's line the words without what was put into them.
"""

from __future__ import annotations

import json
import logging
import sys
import traceback
from datetime import UTC, datetime
from typing import Any

from scout.settings import Settings

OURS = "scout"


class JsonLines(logging.Formatter):
    """One object a line; `fields` of a record stand beside what every line has."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        ours = record.name.partition(".")[0] == OURS
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "of": record.name,
            "said": record.getMessage() if ours else str(record.msg),
            **getattr(record, "fields", {}),
        }
        error = record.exc_info[1] if record.exc_info else None
        if error is not None:
            frames = traceback.extract_tb(error.__traceback__)
            line["error"] = type(error).__name__
            line["where"] = [f"{one.filename}:{one.lineno} {one.name}" for one in frames]
        return json.dumps(line, ensure_ascii=False)


def start(settings: Settings) -> None:
    """Begin to write the log as the settings ask; `plain` is left as the libraries write it."""
    if settings.log != "json":
        return
    lines = logging.StreamHandler(sys.stderr)
    lines.setFormatter(JsonLines())
    root = logging.getLogger()
    root.handlers[:] = [lines]
    root.setLevel(logging.WARNING)
    logging.getLogger(OURS).setLevel(logging.INFO)
