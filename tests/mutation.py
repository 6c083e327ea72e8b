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
from typing import NamedTuple

import pytest
from cosmic_ray.ast import ast_nodes, get_ast_from_path
from cosmic_ray.mutating import use_mutation
from cosmic_ray.plugins import get_operator, operator_names

ROOT = Path(__file__).resolve().parent.parent
LEAST_SHARE = 0.85
# Figures taken down, which see what a module's own tests do not: counted apart.
SAME_FIGURES = "tests/assess/test_same_figures.py"
LOG = "run.log"  # what the last run said, in the copy
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
# Nor do answers change with what is kept between calls, or with a dataclass that may be assigned to.
IDLE_LINES = ("@cache", "lru_cache", "@dataclass")
# Met in samples, and proven to change no answer: the module, the line as edited, why.
EQUIVALENT: dict[tuple[str, str], str] = {
    (
        "scout/calc/power/packing.py",
        "if bound > 2 + TOLERANCE:",
    ): "a short cut: the search that follows finds no plan either",
    (
        "scout/calc/power/patterns.py",
        "fits = ((left & guards) == guards) * (",
    ): "of truths, times is and",
    (
        "scout/calc/bounce/shift.py",
        "if lamp_mired + min(ends) > 1000001.0 / MOST_WHITE_K",
    ): "a millionth of a mired, where lamps are known to five",
    (
        "scout/calc/fit/plan/search.py",
        "if highest_m(stage.space, lamp) < lamp.stand_min_m + 1e-9:",
    ): "a billionth of a metre of a stand's height",
    (
        "scout/calc/bounce/card.py",
        "if spread >= APART:",
    ): "no difference of colours worked out from a picture stands on the border itself",
    (
        "scout/calc/fit/plan/search.py",
        "spot = spot_at(stage, lamp, goal, at, -1 if lens is None else lens, (1, -1))",
    ): "where every lens sees the place the frame stands against it already, and no focal length is said",
    (
        "scout/assess/daylight/place/where.py",
        "return Place( 1.0, 0.0, 0.0, UTC, (), unmeasured(*missing))",
    ): "a place that is unknown is never asked for its coordinates",
}


def main() -> int:
    """Run the sample; print what was not noticed, and the share that was."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("paths", nargs="+", help="modules or packages of scout/, by their paths")
    parser.add_argument("--sample", type=int, default=30, help="how many edits to try")
    parser.add_argument("--modules", type=int, help="draw from so many of the modules alone")
    parser.add_argument("--trust", action="store_true", help="the tests are known to pass unedited")
    parser.add_argument("--seed", type=int, default=1, help="which of them")
    parser.add_argument("--tests", nargs="+", help="the tests that should notice; else the mirror")
    asked = parser.parse_args()
    os.environ.pop("PYTHONPATH", None)  # the copy is what runs
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        _copy(Path(folder))
        os.chdir(folder)
        sys.path.insert(0, folder)
        _load_libraries()
        chance, modules = random.Random(asked.seed), list(_modules(asked.paths))
        if asked.modules is not None:
            modules = chance.sample(modules, min(asked.modules, len(modules)))
        places = _places(modules)
        drawn = chance.sample(sorted(places), min(asked.sample, len(places)))
        edits = [chance.choice(places[place]) for place in drawn]
        print(f"{len(edits)} of {len(places)} places, seed {asked.seed}", flush=True)
        return _try(edits, asked.tests, trust=asked.trust)


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


class Edit(NamedTuple):
    """One edit: the how-manieth place of its module at which an operator can do something."""

    module: Path
    operator: str
    occurrence: int
    line: int


def _places(modules: Iterable[Path]) -> dict[tuple[str, int, int], list[Edit]]:
    """Every edit there is, by the place where it is made."""
    kinds = {name: get_operator(name) for name in operator_names()}
    operators = {
        name: kind()
        for name, kind in kinds.items()
        if not kind.arguments() and not any(idle in name for idle in IDLE)
    }
    places: dict[tuple[str, int, int], list[Edit]] = defaultdict(list)
    for module in modules:
        lines = module.read_text(encoding="utf-8").splitlines()
        nodes = list(ast_nodes(get_ast_from_path(module)))
        for name, operator in operators.items():
            starts = (start for node in nodes for start, _ in operator.mutation_positions(node))
            for occurrence, (line, column) in enumerate(starts):
                if not _idle(name, lines[line - 1]):
                    edit = Edit(module, name, occurrence, line)
                    places[str(module), line, column].append(edit)
    return places


def _idle(operator: str, line: str) -> bool:
    """Whether an edit in a line changes no answer; lists that `zip` is given strictly are of one
    length.
    """
    strictly = "strict=" in line and operator.endswith(("TrueWithFalse", "FalseWithTrue"))
    return strictly or any(mark in line for mark in IDLE_LINES)


def mirror(module: Path) -> list[list[str]]:
    """The tests that mirror a module: its own file, the figures taken down of what the engines answer,
    then those beside it and of the folder above, which take longest.
    """
    figures = [[SAME_FIGURES]] if module.parts[1] in ("assess", "calc", "records") else []
    below = Path(*module.parts[1:])
    folders = [Path("tests") / parent for parent in below.parents if parent.parts]
    own = folders[0] / f"test_{below.stem}.py"
    beside = [str(path) for folder in folders for path in sorted(folder.glob("test_*.py"))]
    beside = [path for path in beside if path != SAME_FIGURES]
    if str(own) not in beside:
        return [*figures, beside]
    if len(below.parts) == 2:
        return [
            [str(own)],
            *figures,
        ]  # at the top of a room stand modules that have nothing in common
    return [[str(own)], *figures, [path for path in beside if path != str(own)]]


def _run(tests: list[str], seconds: float | None = None) -> bool:
    """Whether the tests pass, in a process of their own; one that does not end has noticed.

    With nothing edited (no limit of time) the compiled files are kept for the runs that follow.
    """
    sys.stdout.flush()
    child = os.fork()
    if not child:
        log = os.open(LOG, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(log, 1)
        os.dup2(log, 2)
        sys.dont_write_bytecode = seconds is not None
        os._exit(int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", *LOADED, *tests])))
    begun = time.monotonic()
    ended, status = 0, 1
    try:
        while not ended and (seconds is None or time.monotonic() - begun < seconds):
            time.sleep(0.1)
            ended, status = os.waitpid(child, os.WNOHANG)
    finally:
        if not ended:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
    return bool(ended) and status == 0


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


def _try(edits: list[Edit], tests: list[str] | None, *, trust: bool) -> int:
    limits: dict[str, float] = defaultdict(lambda: 900.0) if trust else {}
    tried: Counter[str] = Counter()
    noticed: Counter[str] = Counter()
    by_figures = 0
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        for number, edit in enumerate(edits, 1):
            changed = _changed(edit)
            if (str(edit.module), changed[-1][1:].strip()) in EQUIVALENT:
                continue
            if number % 10 == 0:
                print(
                    f"{number}: {noticed.total()} of {tried.total()}, {by_figures} by figures",
                    flush=True,
                )
            stages = [tests] if tests else mirror(edit.module)
            by = next((stage for stage in stages if _noticed(edit, stage, limits)), None)
            seen = by is not None
            by_figures += by == [SAME_FIGURES]
            room = "/".join(edit.module.parts[1:3])
            tried[room] += 1
            noticed[room] += seen
            if not seen:
                where = f"[{number}] {edit.module}:{edit.line} {edit.operator}"
                print(where, *changed, sep="\n    ", flush=True)
    except KeyboardInterrupt:
        print("stopped: what was tried is still drawn at random", flush=True)
    for room in sorted(tried):
        print(f"{room}: {noticed[room]} of {tried[room]}")
    print(f"{by_figures} by the figures taken down, after a module's own tests did not")
    total, share = tried.total(), noticed.total() / max(tried.total(), 1)
    low, high = (100.0 * end for end in _interval(share, max(total, 1)))
    print(f"{noticed.total()} of {total} noticed, {100 * share:.0f} % ({low:.0f} to {high:.0f})")
    return 0 if share >= LEAST_SHARE else 1


def _interval(share: float, count: int) -> tuple[float, float]:
    """Between which shares the whole lies, nineteen times in twenty. Source: Wilson 1927, which holds
    where nearly all of few were noticed.
    """
    z2 = 1.96**2 / count
    middle = (share + z2 / 2.0) / (1.0 + z2)
    half = math.sqrt(share * (1.0 - share) * z2 + z2**2 / 4.0) / (1.0 + z2)
    return middle - half, middle + half


def _changed(edit: Edit) -> list[str]:
    operator = get_operator(edit.operator)()
    with use_mutation(edit.module, operator, edit.occurrence) as (before, after):
        rows = difflib.unified_diff(before.split("\n"), after.split("\n"), n=0, lineterm="")
        return [row for row in [*rows][3:] if row[0] in "+-"]


def _noticed(edit: Edit, tests: list[str], limits: dict[str, float]) -> bool:
    """Whether tests that pass without the edit fail with it."""
    key = " ".join(tests)
    if key not in limits and not isinstance(limits, defaultdict):
        begun = time.monotonic()
        if not _run(tests):
            last = Path(LOG).read_text(encoding="utf-8", errors="replace")[-3000:]
            sys.exit(f"{last}\nwith no edit made these tests fail: {key}")
        limits[key] = 60.0 + 10.0 * (time.monotonic() - begun)
    with use_mutation(edit.module, get_operator(edit.operator)(), edit.occurrence):
        return not _run(tests, limits[key])


if __name__ == "__main__":
    sys.exit(main())
