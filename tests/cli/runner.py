"""A command run as a person runs it: its own process where that matters, else in this one, which is
quicker.
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from scout import cli

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Done:
    """What a command left behind."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """Its answer; NaN and the like are no JSON."""

        def refuse(word: str) -> Any:
            raise AssertionError(f"{word} is not JSON")

        return json.loads(self.out, parse_constant=refuse)


class Scout:
    """`scout` in a data folder of its own."""

    def __init__(
        self, data: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
    ) -> None:
        self.data, self._patch, self._capture = data, monkeypatch, capfd
        for name in [
            name
            for name in os.environ
            if name.startswith("SILLBOOK_") and not name.startswith("SILLBOOK_TEST")
        ]:
            monkeypatch.delenv(name)
        monkeypatch.setenv("SILLBOOK_DATA", str(data))

    def __call__(self, *arguments: str, given: bytes = b"") -> Done:
        """Run a command in this process, `given` on its standard input. A traceback would be an
        exception here, and fail the test.
        """
        self._patch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(given), encoding="utf-8"))
        self._patch.setattr(sys, "argv", ["scout", *arguments])
        self._capture.readouterr()
        with pytest.raises(SystemExit) as left:
            cli.main()
        said = self._capture.readouterr()
        assert "Traceback" not in said.err
        code = left.value.code
        assert isinstance(code, int)
        return Done(code, said.out, said.err)

    def alone(self, *arguments: str, given: bytes = b"", **environment: str) -> Done:
        """Run a command in a process of its own."""
        done = subprocess.run(
            [sys.executable, "-m", "scout", *arguments],
            input=given,
            capture_output=True,
            check=False,
            timeout=120,
            env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
            cwd=self.data.parent,
        )
        return Done(
            done.returncode,
            done.stdout.decode(errors="replace"),
            done.stderr.decode(errors="replace"),
        )

    def refuses(self, *arguments: str, says: str, code: int = 2) -> None:
        """The command must end with the code, say why on stderr in a few lines, and print no
        answer.
        """
        done = self(*arguments)
        assert (done.code, done.out) == (code, ""), done
        assert says in done.err
        assert len(done.err) < 2000
