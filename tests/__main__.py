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
        [[str(BIN / "ruff"), "check", "--quiet", "."]],
        [[str(BIN / "ruff"), "format", "--check", "--quiet", "."]],
        [[str(BIN / "mypy")], [str(BIN / "lint-imports")]],
        [
            [
                sys.executable,
                "-m",
                "pytest",
                "-q",
                "-n",
                "auto",
                "--dist",
                "loadfile",
                *sys.argv[1:],
            ]
        ],
    ]
    environment = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    for together in steps:
        # mypy and the import contracts take one processor each
        running = []
        for step in together:
            print("+", Path(step[0]).name, *step[1:], flush=True)  # noqa: T201
            running.append(subprocess.Popen(step, cwd=ROOT, env=environment))
        codes = [one.wait() for one in running]
        if any(codes):
            return next(code for code in codes if code)
    return 0


sys.exit(main())
