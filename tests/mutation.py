"""How many small wrong edits the tests would notice: a sample of mutants of one module.

`python -m tests.mutation scout/store/translate.py tests/store/test_translate.py --sample 30`

Needs cosmic-ray, which is installed by hand and stands in no lock. The edits are made in a copy of
the checkout. Edits of `|` are left out: nearly all stand in annotations, which nothing runs.
"""

from __future__ import annotations

import argparse
import random
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
CONFIG = """[cosmic-ray]
module-path = "{module}"
timeout = {timeout}
excluded-modules = []
test-command = "env -u PYTHONPATH {python} -m pytest -x -q {tests}"
distributor.name = "local"
"""


def main() -> int:
    """Run the sample; print what was not noticed, and the share that was."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("module", help="a module of scout/, by its path")
    parser.add_argument("tests", nargs="+", help="the tests that should notice")
    parser.add_argument("--sample", type=int, default=30, help="how many edits to try")
    parser.add_argument("--seed", type=int, default=1, help="which of them")
    parser.add_argument("--timeout", type=float, default=120.0, help="seconds for one edit")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy = Path(folder) / "checkout"
        _copy(copy)
        config, session = Path(folder) / "config.toml", Path(folder) / "session.sqlite"
        config.write_text(
            CONFIG.format(
                module=asked.module,
                timeout=asked.timeout,
                python=sys.executable,
                tests=" ".join(asked.tests),
            ),
            encoding="utf-8",
        )
        _cosmic(copy, "baseline", str(config))  # with no edit made the tests must pass
        _cosmic(copy, "init", str(config), str(session))
        _thin(session, asked.sample, asked.seed)
        _cosmic(copy, "exec", str(config), str(session))
        return _report(session)


def _copy(to: Path) -> None:
    names = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout.splitlines()
    for name in names:
        source = ROOT / name
        if source.is_file():
            (to / name).parent.mkdir(parents=True, exist_ok=True)
            (to / name).write_bytes(source.read_bytes())


def _cosmic(where: Path, *arguments: str) -> None:
    subprocess.run(
        [sys.executable, "-m", "cosmic_ray.cli", "--verbosity", "ERROR", *arguments],
        cwd=where,
        check=True,
    )


def _open(session: Path) -> Any:
    from cosmic_ray.work_db import WorkDB  # type: ignore[import-not-found]  # installed by hand

    return WorkDB(str(session), WorkDB.Mode.open)


def _thin(session: Path, sample: int, seed: int) -> None:
    """Keep a sample of the edits alone."""
    work = _open(session)
    items = [one for one in work.work_items if "BitOr" not in one.mutations[0].operator_name]
    items.sort(key=lambda one: (one.mutations[0].start_pos, one.mutations[0].operator_name))
    chosen = random.Random(seed).sample(items, min(sample, len(items)))
    work.clear()
    work.add_work_items(chosen)
    work.close()
    print(f"{len(chosen)} of {len(items)} edits")


def _report(session: Path) -> int:
    work = _open(session)
    noticed = 0
    for item, result in work.completed_work_items:
        if str(result.test_outcome).endswith("SURVIVED"):
            edit = item.mutations[0]
            print(f"{edit.module_path}:{edit.start_pos[0]} {edit.operator_name} was not noticed")
            print(f"    {result.diff.strip()}" if result.diff else "")
        else:
            noticed += 1
    total = work.num_results
    work.close()
    print(f"{noticed} of {total} noticed, {100 * noticed / max(total, 1):.0f} %")
    return 0 if noticed == total else 1


if __name__ == "__main__":
    sys.exit(main())
