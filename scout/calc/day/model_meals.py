"""Meals in a day plan's problem as CP-SAT takes it: `problem.meals_of` counts by the same rule."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scout.calc.day.problem import Clause, is_long
from scout.calc.day.solver import cp_model

if TYPE_CHECKING:
    from scout.calc.day.model import Model


def meals(of: Model, day: int) -> list[cp_model.IntervalVar]:
    """As many meals as the day needs, each beside the scenes or within a long one."""
    problem, model, rules = of.problem, of.model, of.problem.rules
    clause = Clause("meal", day=day)
    if not rules.meal_min or (of.relaxed and clause not in of.literals):
        return []
    low, high = of.reach[day]
    meal, within = of._long(rules.meal_min), of._long(rules.meal_within_min)
    since, carried, before = _wanted(of, day)
    longest = high - low + before
    if not of.relaxed and problem.typed_call(day) is None:
        longest = min(longest, of._long(rules.crew_min) + before)
    ahead: cp_model.LiteralT = of.used[day]  # of all meals so far
    beside = list[cp_model.IntervalVar]()
    for n in range(-(-longest // (within + meal))):
        eaten = model.new_bool_var(f"meal{day}_{n}")
        model.add_implication(eaten, ahead)
        of._held(of.wraps[day] - since <= within, clause, ahead, eaten.negated())
        at = model.new_int_var(low - before, high, f"meal_at{day}_{n}")
        of._held(at - since <= within, clause, eaten)
        of._held(at >= since, clause, eaten)
        inside = []
        for node in of.nodes:
            scene, in_day = problem.scenes[node[0]], of.in_day.get((node, day))
            if in_day is None or not is_long(scene, rules):
                continue
            here, start = model.new_bool_var(f"meal_in{day}_{n}_{node}"), of.starts[node]
            inside.append(here)
            model.add_implication(here, in_day)
            model.add(at >= start).only_enforce_if(here)
            model.add(at + meal <= start + of._long(scene.length_min)).only_enforce_if(here)
        alone = model.new_bool_var(f"meal_alone{day}_{n}")
        # between scenes, and not before or after the day
        model.add(at >= of.calls[day]).only_enforce_if(alone)
        model.add(at + meal <= of.wraps[day]).only_enforce_if(alone)
        if (typed := problem.typed_call(day)) is not None:  # who waits for hours eats before
            early = model.new_bool_var(f"meal_early{day}_{n}")
            model.add(carried > of._at(typed) + within).only_enforce_if(early)
            model.add(at + meal <= carried).only_enforce_if(early)
            inside.append(early)
        model.add_exactly_one([alone, eaten.negated(), *inside])
        beside.append(model.new_optional_interval_var(at, meal, at + meal, alone, f"eat{day}_{n}"))
        since, ahead = at + meal, eaten
    of._held(of.wraps[day] - since <= within, clause, ahead)
    return beside


def _wanted(of: Model, day: int) -> tuple[cp_model.LinearExpr, cp_model.LinearExpr, int]:
    """When the first person of a day is wanted, when its kit is carried in, and how long before
    the earliest set-up there is that can be.
    """
    model, low = of.model, of.reach[day][0]
    carries = {
        node: of._option(of._of_node(node, day)[0]).carry_min for node, _ in of.firsts.get(day, ())
    }
    longest, typed = of._long(max(carries.values(), default=0)), of.problem.typed_call(day)
    if not longest and typed is None:
        return of.calls[day], of.calls[day], 0
    carried = model.new_int_var(low - longest, of.reach[day][1], f"carried{day}")
    for node, first in of.firsts.get(day, ()):
        before = of._long(of.problem.scenes[node[0]].set_up_min + carries[node])
        model.add(carried <= of.starts[node] - before).only_enforce_if(first)
    if typed is None:
        return carried, carried, longest
    least = min(low - longest, of._at(typed))
    wanted = model.new_int_var(least, of.reach[day][1], f"wanted{day}")
    model.add_min_equality(wanted, [carried, of._at(typed)])
    return wanted, carried, low - least
