"""`python -m tests`: lint, types, import contracts, then every test; the exit code is that of the
first that fails.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent


def main() -> int:
    """Run them all, each said before it starts."""
    steps = [
        [str(BIN / "ruff"), "check", "--quiet", "."],
        [str(BIN / "ruff"), "format", "--check", "--quiet", "."],
        [str(BIN / "mypy")],
        [str(BIN / "lint-imports")],
        [sys.executable, "-m", "pytest", "-q", "-n", "auto", "--dist", "loadfile", *sys.argv[1:]],
    ]
    for step in steps:
        print(  # noqa: T201
            "+",
            " ".join(Path(step[0]).name if i == 0 else part for i, part in enumerate(step)),
            flush=True,
        )
        code = subprocess.run(
            step,
            cwd=ROOT,
            check=False,
            env={**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"},
        ).returncode
        if code:
            return code
    return 0


sys.exit(main())
