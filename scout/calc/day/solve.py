"""The best plan that can be found, and what clashes where there is none.

Source: interval scheduling with optional intervals and a circuit of successors, as described for
CP-SAT (Perron and Furnon, OR-Tools); a smallest clashing set by leaving out one assumption after
another (deletion, as in Belov and Marques-Silva, "Accelerating MUS extraction", 2011).
Limits: one crew does every scene; the way to the first place of a day and home from the last is
    not counted, nor travel between two days.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from scout.calc.day.construct import first_plan
from scout.calc.day.model import Model
from scout.calc.day.problem import (
    Answer,
    BreachKind,
    Clause,
    Placed,
    Problem,
    Relaxation,
    outside_min,
    starts_of,
    worth,
)
from scout.calc.day.solver import cp_model

# the solver's own measure of work, the same on every machine: here 0.1 is about a second
PLAN_LIMIT, CLASH_LIMIT = 0.35, 0.05
ROUNDS = 12  # of the first plan, for each scene
MOST_RELAXATIONS, MOST_UNPROVED = 3, 3
# what giving way costs: a crew's rest is the last to go
_YIELDS: dict[BreachKind, int] = {
    "face": 1,
    "lens": 1,
    "light": 2,
    "quiet": 3,
    "hours": 4,
    "dry": 5,
    "lock": 5,
    "crew": 6,
    "open": 8,
    "meal": 10,
    "crew_hours": 12,
    "rest": 15,
}


def plan(problem: Problem, limit: float = PLAN_LIMIT) -> Answer:
    """The best plan by the problem's weights.

    limit: the solver's measure of its work; then the best so far is given with its gap
    Returns: placements in the order of time; without any, what clashes
    """
    if not problem.scenes:
        return Answer(gap=0.0, cost=0)
    first = first_plan(problem, ROUNDS * len(problem.scenes))
    model = Model(problem, keep=None)
    model.aim()
    if first is not None:
        model.start_from(first)
    solver, status = model.solve(limit)
    found = [first] if first is not None else []
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        found.append(model.placed(solver))
    elif status == cp_model.INFEASIBLE:
        return clash_of(problem)
    if not found:
        # nothing found and nothing proved: what clashes may still be plain
        return replace(clash_of(problem), sure=False)
    cost, placed = min((worth(problem, one).cost, one) for one in found)
    bound = max(0.0, solver.best_objective_bound)
    gap = 0.0 if status == cp_model.OPTIMAL or bound >= cost else (cost - bound) / cost
    return Answer(placed, cost, round(gap, 4))


def clash_of(problem: Problem) -> Answer:
    """A smallest set of requirements that cannot all be kept, and the cheapest that give way."""
    every = _clauses(problem)
    if (alone := _alone(problem, every)) is not None:
        return Answer(clash=(alone,), relaxations=_relaxations(problem, every))
    model = Model(problem, keep=every)
    model.assume(every)
    solver, status = model.solve(CLASH_LIMIT)
    if status != cp_model.INFEASIBLE:
        return Answer(relaxations=_relaxations(problem, every), sure=False)
    named = set(solver.sufficient_assumptions_for_infeasibility())
    kept = [clause for clause in every if model.literals[clause].index in named]
    unproved = 0
    # what gives way most readily is left out last, so that the set names it
    for clause in sorted(kept, key=lambda one: (-_YIELDS[one.kind], one.scene or 0)):
        fewer = [one for one in kept if one != clause]
        without = Model(problem, keep=fewer)
        for one in fewer:
            without.model.add(without.literals[one] == 1)
        _, status = without.solve(CLASH_LIMIT)
        if status == cp_model.INFEASIBLE:
            kept = fewer
        elif status == cp_model.UNKNOWN and (unproved := unproved + 1) == MOST_UNPROVED:
            break
    return Answer(clash=tuple(kept), relaxations=_relaxations(problem, every), sure=unproved == 0)


def _alone(problem: Problem, every: Sequence[Clause]) -> Clause | None:
    """A requirement that no start of its scene keeps, the one that is last to give way: the house
    is not open for so long.
    """
    for clause in sorted(every, key=lambda one: -_YIELDS[one.kind]):
        if clause.scene is None or clause.kind == "lock":
            continue
        scene = problem.scenes[clause.scene]
        if all(
            any(
                need.kind == clause.kind
                and need.required
                and outside_min(scene, need, starts_of(problem, scene, option)).all()
                for need in option.needs
            )
            for option in scene.options
        ):
            return clause
    return None


def _relaxations(problem: Problem, every: Sequence[Clause]) -> tuple[Relaxation, ...]:
    found: list[Relaxation] = []
    while len(found) < MOST_RELAXATIONS:
        model = Model(problem, keep=every)
        for before in found:  # another way out, not the same one with more given up
            model.model.add_bool_or([model.literals[clause] for clause in before.clauses])
        model.model.minimize(
            cp_model.LinearExpr.weighted_sum(
                [model.literals[clause].negated() for clause in every],
                [_YIELDS[clause.kind] for clause in every],
            )
        )
        solver, status = model.solve(CLASH_LIMIT)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            break
        broken = tuple(c for c in every if not solver.value(model.literals[c]))
        if not broken:
            break
        nearest = _nearest(problem, every, broken)
        found.append(
            Relaxation(broken, worth(problem, nearest).breaches, nearest)
            if nearest
            else Relaxation(broken, (), ())
        )
    return tuple(found)


def _nearest(
    problem: Problem, every: Sequence[Clause], broken: Collection[Clause]
) -> tuple[Placed, ...]:
    """With some requirements given way, the plan that breaks them by the fewest minutes."""
    model = Model(problem, keep=every)
    for clause in every:
        model.model.add(model.literals[clause] == (clause not in broken))
    model.aim(broken)
    solver, status = model.solve(CLASH_LIMIT)
    return model.placed(solver) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else ()


def _clauses(problem: Problem) -> tuple[Clause, ...]:
    """Every requirement there is."""
    found: set[Clause] = set()
    for k, scene in enumerate(problem.scenes):
        found |= {
            Clause(need.kind, k)
            for option in scene.options
            for need in option.needs
            if need.required
        }
        if scene.lock is not None:
            found.add(Clause("lock", k))
    for day in sorted({option.day for scene in problem.scenes for option in scene.options}):
        found |= {Clause("crew_hours", day=day), Clause("meal", day=day), Clause("rest", day=day)}
    return tuple(sorted(found, key=lambda c: (c.kind, c.scene or 0, c.day or 0)))
