"""How many small wrong edits the tests would notice: a sample, drawn by a seed, of the edits of some
modules.

`python -m tests.mutation scout/calc scout/records/checks.py --sample 200 --seed 1`

Needs cosmic-ray, which is installed by hand and stands in no lock. The edits are made in a copy of
the checkout, one at a time. A place of the code is drawn first, then one of the edits that can be
made there, so that a `+` with eleven substitutes weighs no more than a number.
"""

from __future__ import annotations

import argparse
import contextlib
import difflib
import importlib
import math
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent
LEAST_SHARE = 0.85
LOADED = ("-W", "ignore::pytest.PytestAssertRewriteWarning")  # libraries are loaded before
# Edits of these kinds change nothing that runs: `|` stands nearly always in annotations, `is` and
# `==` of None or of a word of a Literal agree.
IDLE = (
    "ReplaceBinaryOperator_BitOr_",
    "ReplaceComparisonOperator_Is_Eq",
    "ReplaceComparisonOperator_IsNot_NotEq",
    "ReplaceComparisonOperator_Eq_Is",
    "ReplaceComparisonOperator_NotEq_IsNot",
)
# Met in samples, and proven to change no answer: the module, the line as edited, why.
EQUIVALENT: dict[tuple[str, str], str] = {}


def main() -> int:
    """Run the sample; print what was not noticed, and the share that was."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("paths", nargs="+", help="modules or packages of scout/, by their paths")
    parser.add_argument("--sample", type=int, default=30, help="how many edits to try")
    parser.add_argument("--seed", type=int, default=1, help="which of them")
    parser.add_argument("--tests", nargs="+", help="the tests that should notice; else the mirror")
    asked = parser.parse_args()
    os.environ.pop("PYTHONPATH", None)  # the copy is what runs
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        _copy(Path(folder))
        os.chdir(folder)
        sys.path.insert(0, folder)
        _load_libraries()
        places = _places(_modules(asked.paths))
        drawn = random.Random(asked.seed).sample(sorted(places), min(asked.sample, len(places)))
        chooser = random.Random(asked.seed)
        edits = [chooser.choice(places[place]) for place in sorted(drawn)]
        print(f"{len(edits)} of {len(places)} places, seed {asked.seed}", flush=True)
        return _try(edits, asked.tests)


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


def _modules(paths: Iterable[str]) -> Iterator[Path]:
    for path in map(Path, paths):
        yield from sorted(path.rglob("*.py")) if path.is_dir() else [path]


def _places(modules: Iterable[Path]) -> dict[tuple[str, int, int], list[Any]]:
    """Every edit there is, by the place where it is made."""
    from cosmic_ray.commands.init import (
        _all_work_items,
    )

    places: dict[tuple[str, int, int], list[Any]] = defaultdict(list)
    for module in modules:
        lines = module.read_text(encoding="utf-8").splitlines()
        for item in _all_work_items([module], {}):
            edit = item.mutations[0]
            line, column = edit.start_pos
            idle = any(kind in edit.operator_name for kind in IDLE)
            if not idle and "@cache" not in lines[line - 1] and "lru_cache" not in lines[line - 1]:
                places[str(module), line, column].append(edit)
    return places


def mirror(module: Path) -> list[str]:
    """The tests that mirror a module: its own file, those beside it, those of the folder above."""
    below = Path(*module.parts[1:])
    folders = [Path("tests") / parent for parent in below.parents if parent.parts]
    own = folders[0] / f"test_{below.stem}.py"
    beside = [path for folder in folders for path in sorted(folder.glob("test_*.py"))]
    if own in beside and len(below.parts) == 2:
        return [str(own)]  # at the top of a room stand modules that have nothing in common
    return [str(path) for path in dict.fromkeys([own, *beside]) if path in beside]


def _run(tests: list[str], seconds: float | None = None) -> bool:
    """Whether the tests pass, in a process of their own; one that does not end has noticed.

    With nothing edited (no limit of time) the compiled files are kept for the runs that follow.
    """
    sys.stdout.flush()
    child = os.fork()
    if not child:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        os.setpgid(0, 0)
        sys.dont_write_bytecode = seconds is not None
        os._exit(int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", *LOADED, *tests])))
    begun = time.monotonic()
    while seconds is None or time.monotonic() - begun < seconds:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return status == 0
        time.sleep(0.1)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return False


def _load_libraries() -> None:
    """Load what the tests need and nobody edits, once: each run is then a copy of this process."""
    listing = "import sys, hypothesis.strategies, pytest, scout.assess.room, scout.usecases.work"
    loaded = subprocess.run(
        [sys.executable, "-c", f"{listing}; print(*sys.modules)"],
        check=True,
        capture_output=True,
        text=True,
    ).stdout.split()
    for name in loaded:
        if not name.startswith(("scout", "tests", "_", "pytest")):
            with contextlib.suppress(ImportError):
                importlib.import_module(name)


def _try(edits: list[Any], tests: list[str] | None) -> int:
    from cosmic_ray.mutating import use_mutation
    from cosmic_ray.plugins import get_operator

    limits: dict[tuple[str, ...], float] = {}
    tried: Counter[str] = Counter()
    noticed: Counter[str] = Counter()
    for number, edit in enumerate(edits, 1):
        own = tests or mirror(edit.module_path)
        if tuple(own) not in limits:
            begun = time.monotonic()
            if not _run(own):
                sys.exit(f"with no edit made these tests fail: {' '.join(own)}")
            limits[tuple(own)] = 60.0 + 10.0 * (time.monotonic() - begun)
        operator = get_operator(edit.operator_name)()
        with use_mutation(edit.module_path, operator, edit.occurrence) as (before, after):
            rows = [*difflib.unified_diff(before.split("\n"), after.split("\n"), n=0, lineterm="")]
            changed = [row for row in rows[3:] if row[0] in "+-"]
            if (str(edit.module_path), changed[-1][1:].strip()) in EQUIVALENT:
                continue
            seen = not _run(own, limits[tuple(own)])
        room = "/".join(edit.module_path.parts[1:3])
        tried[room] += 1
        noticed[room] += seen
        if not seen:
            where = f"[{number}] {edit.module_path}:{edit.start_pos[0]} {edit.operator_name}"
            print(where, *changed, sep="\n    ", flush=True)
    for room in sorted(tried):
        print(f"{room}: {noticed[room]} of {tried[room]}")
    total, share = tried.total(), noticed.total() / max(tried.total(), 1)
    doubt = 1.96 * math.sqrt(share * (1 - share) / max(total, 1))
    print(f"{noticed.total()} of {total} noticed, {100 * share:.0f} % (± {100 * doubt:.0f})")
    return 0 if share >= LEAST_SHARE else 1


if __name__ == "__main__":
    sys.exit(main())
