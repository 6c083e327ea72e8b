"""A day plan's problem as CP-SAT takes it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import combinations
from math import gcd

import numpy as np

from scout.calc.day.model_meals import meals
from scout.calc.day.problem import (
    Clause,
    IntArray,
    Need,
    Option,
    Placed,
    Problem,
    Scene,
    outside_min,
    starts_of,
)
from scout.calc.day.solver import cp_model

SEED = 11
_BROKEN = 100_000  # a minute of what is required weighs more than any preference


class Model:
    """The problem as CP-SAT takes it: times from the first there is, in the largest unit that all
    of them are whole numbers of.

    A node is a scene in one room; the circuit runs from the first day's dawn by the scenes of that
    day to the second day's, and from the last back to the first: an arc is "the next thing this
    crew does".

    keep: None: everything required holds; else the clauses, each held by a literal
    """

    def __init__(self, problem: Problem, keep: Iterable[Clause] | None) -> None:
        self.problem, self.model = problem, cp_model.CpModel()
        self.relaxed = keep is not None
        self.literals = {
            clause: self.model.new_bool_var(f"keep{k}") for k, clause in enumerate(keep or ())
        }
        self.options = [
            (k, o) for k, scene in enumerate(problem.scenes) for o in range(len(scene.options))
        ]
        self.tried = {(k, o): self._tried(k, o) for k, o in self.options}
        self.low, self.unit = self._scale()
        self.days = sorted({self._option(one).day for one in self.options})
        # per day the minutes in which anything can happen
        reach: dict[int, list[int]] = {day: [] for day in self.days}
        for k, o in self.options:
            tried = self.tried[k, o]
            if len(tried):
                first, last = int(tried[0]), int(tried[-1])
                block = problem.scenes[k].block
                reach[self._option((k, o)).day] += [block(first)[0], block(last)[1]]
        self.reach = {
            day: (self._at(min(ends)), self._at(max(ends))) if ends else (0, 0)
            for day, ends in reach.items()
        }
        self.high = max((end for _, end in self.reach.values()), default=0)
        model = self.model
        self.taken = {one: model.new_bool_var(f"take{one}") for one in self.options}
        self.nodes = sorted({(k, problem.scenes[k].options[o].room) for k, o in self.options})
        self.starts = {node: model.new_int_var(0, self.high, f"at{node}") for node in self.nodes}
        self.ways: list[tuple[cp_model.IntVar, int]] = []
        self.in_day: dict[tuple[tuple[int, int], int], cp_model.IntVar] = {}
        for k, scene in enumerate(problem.scenes):
            model.add_exactly_one([self.taken[k, o] for o in range(len(scene.options))])
            for o in range(len(scene.options)):
                self._place(k, o)
            self._lock(k, scene)
        for node in self.nodes:
            for day in self.days:
                chosen = [self.taken[one] for one in self._of_node(node, day)]
                if chosen:
                    inside = model.new_bool_var(f"day{node}_{day}")
                    model.add(cp_model.LinearExpr.sum(chosen) == inside)
                    self.in_day[node, day] = inside
        self.present = {node: self._present(node) for node in self.nodes}
        self.calls: dict[int, cp_model.IntVar] = {}
        self.firsts: dict[int, list[tuple[tuple[int, int], cp_model.IntVar]]] = {}
        self.wraps: dict[int, cp_model.IntVar] = {}
        self.used: dict[int, cp_model.IntVar] = {}
        blocks = self._blocks(self._circuit())
        for day in self.days:
            self._day(day)
        model.add_no_overlap([*blocks, *(meal for day in self.days for meal in meals(self, day))])
        for first, second in combinations(self.days, 2):
            self._held(
                self.calls[second] >= self.wraps[first] + self._long(problem.rules.rest_min),
                Clause("rest", day=second),
                self.used[first],
                self.used[second],
            )

    def _option(self, one: tuple[int, int]) -> Option:
        return self.problem.scenes[one[0]].options[one[1]]

    def _tried(self, k: int, o: int) -> IntArray:
        """The starts to try; where nothing gives way, only those that keep what is required."""
        scene, option = self.problem.scenes[k], self.problem.scenes[k].options[o]
        tried = starts_of(self.problem, scene, option)
        if not self.relaxed:
            for need in option.needs:
                if need.required:
                    tried = tried[outside_min(scene, need, tried) == 0]
        return tried

    def _scale(self) -> tuple[int, int]:
        """The earliest minute there is, and the greatest unit that leaves everything whole."""
        problem, rules = self.problem, self.problem.rules
        lengths = [rules.crew_min, rules.rest_min, rules.meal_min, rules.meal_within_min]
        lengths += [way for row in problem.move_min for way in row]
        moments = list(problem.days)
        for (k, _), tried in self.tried.items():
            scene = problem.scenes[k]
            lengths += [scene.set_up_min, scene.length_min, scene.strike_min]
            moments += [scene.block(int(at))[0] for at in tried[:1]]
            lengths += np.diff(tried).tolist()
        for scene in problem.scenes:
            for option in scene.options:
                moments += [edge for need in option.needs for span in need.within for edge in span]
                lengths.append(option.carry_min)
        moments += [at for at in problem.called if at is not None]
        used = [
            scene.block(int(tried[0]))[0]
            for (k, _), tried in self.tried.items()
            for scene in [problem.scenes[k]]
            if len(tried)
        ]
        low = min(used, default=0)
        unit = gcd(*lengths, *(moment - low for moment in moments)) or 1
        return low, unit

    def _at(self, moment: int) -> int:
        return (moment - self.low) // self.unit

    def _long(self, minutes: int) -> int:
        return minutes // self.unit

    def _domain(self, tried: IntArray) -> cp_model.Domain:
        return cp_model.Domain.from_values([self._at(int(at)) for at in tried])

    def _of_node(self, node: tuple[int, int], day: int | None = None) -> list[tuple[int, int]]:
        return [
            one
            for one in self.options
            if (one[0], self._option(one).room) == node and day in (None, self._option(one).day)
        ]

    def _start(self, one: tuple[int, int]) -> cp_model.IntVar:
        return self.starts[one[0], self._option(one).room]

    def _held(
        self,
        constraint: cp_model.BoundedLinearExpression | bool,
        clause: Clause,
        *when: cp_model.LiteralT,
    ) -> None:
        if clause in self.literals:
            self.model.add(constraint).only_enforce_if(*when, self.literals[clause])
        elif not self.relaxed:
            self.model.add(constraint).only_enforce_if(*when)

    def _place(self, k: int, o: int) -> None:
        model, tried, taken = self.model, self.tried[k, o], self.taken[k, o]
        if not len(tried):
            model.add(taken == 0)
            return
        start, scene = self._start((k, o)), self.problem.scenes[k]
        model.add_linear_expression_in_domain(start, self._domain(tried)).only_enforce_if(taken)
        if not self.relaxed:
            return
        for need in self._option((k, o)).needs:
            keep = self.literals.get(Clause(need.kind, k))
            if not need.required or keep is None:
                continue
            fits = tried[outside_min(scene, need, tried) == 0]
            if len(fits):
                model.add_linear_expression_in_domain(start, self._domain(fits)).only_enforce_if(
                    taken, keep
                )
            else:
                model.add_bool_or([taken.negated(), keep.negated()])

    def _lock(self, k: int, scene: Scene) -> None:
        if scene.lock is None:
            return
        one, clause = (k, scene.lock.option), Clause("lock", k)
        self._held(self.taken[one] == 1, clause)
        if scene.lock.start in self.tried[one]:
            self._held(self._start(one) == self._at(scene.lock.start), clause)
        else:
            self._held(self.taken[one] == 0, clause)

    def _present(self, node: tuple[int, int]) -> cp_model.IntVar:
        present = self.model.new_bool_var(f"in{node}")
        self.model.add(
            cp_model.LinearExpr.sum([self.taken[one] for one in self._of_node(node)]) == present
        )
        return present

    def _circuit(self) -> dict[tuple[int, int], list[tuple[cp_model.IntVar, int]]]:
        """Which scene follows which; returns the moves that may follow each."""
        problem, model = self.problem, self.model
        dawns, base = len(self.days), len(self.days)
        arcs: list[tuple[int, int, cp_model.LiteralT]] = []
        leaving: dict[tuple[int, int], list[tuple[cp_model.IntVar, int]]] = {}
        for n, day in enumerate(self.days):
            idle = model.new_bool_var(f"idle{day}")
            self.used[day] = idle.negated()  # type: ignore[assignment]
            if dawns > 1:
                arcs.append((n, (n + 1) % dawns, idle))
            for i, node in enumerate(self.nodes, start=base):
                inside = self.in_day.get((node, day))
                if inside is None:
                    continue
                first, last = (model.new_bool_var(f"{w}{day}_{i}") for w in ("first", "last"))
                arcs += [(n, i, first), (i, (n + 1) % dawns, last)]
                self.firsts.setdefault(day, []).append((node, first))
                model.add_implication(first, inside)
                model.add_implication(last, inside)
                model.add_implication(inside, idle.negated())
        for i, node in enumerate(self.nodes, start=base):
            scene = problem.scenes[node[0]]
            arcs.append((i, i, self.present[node].negated()))
            for j, after in enumerate(self.nodes, start=base):
                then = problem.scenes[after[0]]
                shared = [
                    day
                    for day in self.days
                    if (node, day) in self.in_day and (after, day) in self.in_day
                ]
                if node[0] == after[0] or not shared:
                    continue
                way = problem.move_min[node[1]][after[1]]
                gap = scene.length_min + scene.strike_min + way + then.set_up_min
                arc = model.new_bool_var(f"then{i}_{j}")
                arcs.append((i, j, arc))
                model.add(
                    self.starts[after] >= self.starts[node] + self._long(gap)
                ).only_enforce_if(arc)
                for day in self.days:
                    here, there = self.in_day.get((node, day)), self.in_day.get((after, day))
                    if here is not None and there is not None:
                        model.add(here == there).only_enforce_if(arc)
                    elif here is not None or there is not None:
                        only = here if here is not None else there
                        assert only is not None
                        model.add_implication(arc, only.negated())
                if node[1] != after[1]:
                    leaving.setdefault(node, []).append((arc, way))
        model.add_circuit(arcs)
        return leaving

    def _blocks(
        self, leaving: dict[tuple[int, int], list[tuple[cp_model.IntVar, int]]]
    ) -> list[cp_model.IntervalVar]:
        """Each scene from its set-up to the end of the move after it."""
        problem, model, blocks = self.problem, self.model, []
        longest = self._long(max(max(row, default=0) for row in problem.move_min))
        for node in self.nodes:
            scene, start, outs = problem.scenes[node[0]], self.starts[node], leaving.get(node, [])
            before, after = (
                self._long(scene.set_up_min),
                self._long(scene.length_min + scene.strike_min),
            )
            self.ways += outs
            way = cp_model.LinearExpr.weighted_sum(
                [arc for arc, _ in outs], [self._long(minutes) for _, minutes in outs]
            )
            end = model.new_int_var(0, self.high + longest, f"end{node}")
            model.add(end == start + after + way)
            size = model.new_int_var(before + after, before + after + longest, f"size{node}")
            blocks.append(
                model.new_optional_interval_var(
                    start - before, size, end, self.present[node], f"block{node}"
                )
            )
        return blocks

    def _day(self, day: int) -> None:
        problem, model, rules = self.problem, self.model, self.problem.rules
        low, high = self.reach[day]
        call, wrap = (model.new_int_var(low, high, f"{what}{day}") for what in ("call", "wrap"))
        self.calls[day], self.wraps[day] = call, wrap
        model.add(wrap >= call)
        work: list[tuple[cp_model.IntVar, int]] = []
        for node in self.nodes:
            inside = self.in_day.get((node, day))
            if inside is None:
                continue
            scene, start = problem.scenes[node[0]], self.starts[node]
            before, after = scene.set_up_min, scene.length_min + scene.strike_min
            model.add(call <= start - self._long(before)).only_enforce_if(inside)
            model.add(wrap >= start + self._long(after)).only_enforce_if(inside)
            work.append((inside, self._long(before + after)))
        for node, first in self.firsts.get(day, ()):  # no earlier: nobody eats before work begins
            before = self._long(problem.scenes[node[0]].set_up_min)
            model.add(call >= self.starts[node] - before).only_enforce_if(first)
        # a day is as long as what is done in it: nothing new, and what makes bounds tight
        model.add(
            wrap - call >= cp_model.LinearExpr.weighted_sum(*map(list, zip(*work, strict=True)))
        )
        self._held(
            wrap - call <= self._long(rules.crew_min), Clause("crew_hours", day=day), self.used[day]
        )

    def aim(self, broken: Collection[Clause] = ()) -> None:
        """Minimise the cost; where requirements gave way, first the minutes by which they do."""
        problem, weights, unit = self.problem, self.problem.weights, self.unit
        terms: list[cp_model.LinearExprT] = []
        for k, o in self.options:
            scene, taken = problem.scenes[k], self.taken[k, o]
            for need in self._option((k, o)).needs:
                if not need.required:
                    per_min = weights.outside * need.per_min
                elif Clause(need.kind, k) in broken:
                    per_min = _BROKEN
                else:
                    continue
                if outside_min(scene, need, self.tried[k, o]).any():
                    terms.append(per_min * unit * self._outside(k, o, need))
            if scene.lock is not None and scene.lock.option == o and Clause("lock", k) in broken:
                terms += [_BROKEN * unit * self._away((k, o), scene.lock.start)]
                terms += [_BROKEN * unit * taken.negated()]
        terms += [weights.move * way * arc + weights.change * arc for arc, way in self.ways]
        for day, used in self.used.items():
            span = self.wraps[day] - self.calls[day]
            since = (problem.days[day] - self.low) // unit
            late = self.model.new_int_var(0, max(0, self.high - since), f"late{day}")
            self.model.add(late >= self.wraps[day] - since).only_enforce_if(used)
            terms += [weights.span * unit * span, weights.wrap * unit * late]
            if Clause("crew_hours", day=day) in broken:
                excess = self.model.new_int_var(0, self.high, f"over{day}")
                self.model.add(excess >= span - self._long(problem.rules.crew_min))
                terms.append(_BROKEN * unit * excess)
        for first, second in combinations(self.days, 2):
            if Clause("rest", day=second) in broken:
                rest = self._long(problem.rules.rest_min)
                short = self.model.new_int_var(0, self.high + rest, f"short{first}_{second}")
                self.model.add(
                    short >= self.wraps[first] + rest - self.calls[second]
                ).only_enforce_if(self.used[first], self.used[second])
                terms.append(_BROKEN * unit * short)
        self.model.minimize(cp_model.LinearExpr.sum(terms))

    def _outside(self, k: int, o: int, need: Need) -> cp_model.IntVar:
        """How long a scene lies outside a need, where this option is taken. As it is minimised, no
        more than an upper bound of each part inside need be given.
        """
        model, scene, start = self.model, self.problem.scenes[k], self._start((k, o))
        before = self._long(scene.set_up_min) if need.whole else 0
        after = self._long(scene.length_min + (scene.strike_min if need.whole else 0))
        inside = []
        for begin, end in need.within:
            if self._at(end) <= 0 or self._at(begin) >= self.high:
                continue
            part = model.new_int_var(0, before + after, "")
            meets = model.new_bool_var("")
            model.add(part == 0).only_enforce_if(meets.negated())
            model.add(part <= start + after - self._at(begin)).only_enforce_if(meets)
            model.add(part <= self._at(end) - start + before).only_enforce_if(meets)
            model.add(part <= self._long(end - begin))
            inside.append(part)
        outside = model.new_int_var(0, before + after, f"outside{k}_{o}_{need.kind}")
        model.add(outside >= before + after - cp_model.LinearExpr.sum(inside)).only_enforce_if(
            self.taken[k, o]
        )
        return outside

    def _away(self, one: tuple[int, int], start: int) -> cp_model.IntVar:
        away = self.model.new_int_var(0, self.high, f"away{one}")
        for sign in (1, -1):
            self.model.add(away >= sign * (self._start(one) - self._at(start))).only_enforce_if(
                self.taken[one]
            )
        return away

    def assume(self, clauses: Iterable[Clause]) -> None:
        """Hold all of them, so that the solver can name those that clash."""
        self.model.add_assumptions([self.literals[clause] for clause in clauses])

    def solve(self, limit: float) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
        """One worker and a fixed seed: the same plan every time."""
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = SEED
        solver.parameters.max_deterministic_time = limit
        solver.parameters.interleave_search = True
        solver.parameters.cp_model_probing_level = solver.parameters.symmetry_level = 0
        return solver, solver.solve(self.model)

    def start_from(self, plan: Iterable[Placed]) -> None:
        """Hint at a plan that is known to be possible."""
        taken = {(one.scene, one.option): one.start for one in plan}
        for one, literal in self.taken.items():
            self.model.add_hint(literal, one in taken)
            if one in taken:
                self.model.add_hint(self._start(one), self._at(taken[one]))

    def placed(self, solver: cp_model.CpSolver) -> tuple[Placed, ...]:
        """The plan found, in the order of time."""
        found = [
            Placed(k, o, self.low + self.unit * solver.value(self._start((k, o))))
            for k, o in self.options
            if solver.value(self.taken[k, o])
        ]
        return tuple(sorted(found, key=lambda one: (one.start, one.scene)))
