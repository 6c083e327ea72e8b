"""`scout day`: a production's days: order and times of the scenes, calls, what clashes."""

from __future__ import annotations

import click

from scout.assess.answers.finding import act_json
from scout.cli.common import JSON_OPTION, print_json
from scout.cli.keeping import kept
from scout.pages.day.desk import AIMS
from scout.pages.day.plan import DayPlan, day_plan, gap_said
from scout.values import Figure, Name, Spell, said


@click.command(
    help="Plan the days of production PRODUCTION_ID: the plan that is kept, else the best one."
)
@click.argument("production_id", type=int)
@click.option("--plan-b", is_flag=True, help="Under cloud and rain, with the cover sets.")
@click.option(
    "--aim", type=click.Choice(AIMS), default="balanced", show_default=True, help="Best at what."
)
@click.option("--anew", is_flag=True, help="The best plan, whatever is kept; locked scenes stay.")
@JSON_OPTION
def command(production_id: int, plan_b: bool, aim: str, anew: bool, as_json: bool) -> int:
    """Plan."""
    with kept(reading=True) as work:
        found = day_plan(
            work,
            production_id,
            aim=next(one for one in AIMS if one == aim),
            plan_b=plan_b,
            anew=anew,
        )
    if as_json:
        print_json(plain(found))
    else:
        for line in spoken(found):
            click.echo(line)
    return 0 if found.rows and not found.clashes else 1


def plain(plan: DayPlan) -> dict[str, object]:
    """The plan under the published keys; `clash` are open clashes in words."""
    return {
        "production": plan.title,
        "plan_b": plan.plan_b,
        "kept": plan.kept,
        "rows": [
            {
                "date": row.on.isoformat(),
                "scene": row.scene,
                "room": row.room,
                "location": row.location,
                "from": row.begin.isoformat(),
                "until": row.end.isoformat(),
                "set_up_min": int((row.begin - row.set_up_from).total_seconds() // 60),
                "strike_min": int((row.strike_until - row.end).total_seconds() // 60),
                "move_min": row.move_min,
                "locked": row.locked,
                "acts": [act_json(one) for one in row.acts],
                "remarks": [str(remark) for remark in row.remarks],
            }
            for row in plan.rows
        ],
        "meals": [
            [begin.isoformat(), end.isoformat()] for day in plan.days for begin, end in day.meals
        ],
        "calls": [
            {
                "person": call.person,
                "role": call.role,
                "date": call.on.isoformat(),
                "at": call.at.isoformat(),
                "location": call.location,
                "why": str(call.why),
                "warnings": [str(warning) for warning in call.warnings],
            }
            for call in plan.calls
        ],
        "optimal": plan.optimal,
        "gap": plan.gap,
        "clash": [str(line) for line in plan.clashes],
        "gives": [str(line) for line in plan.gives],
        "left_out": [str(line) for line in plan.left_out],
        "assumed": [str(line) for line in plan.assumed],
    }


def spoken(plan: DayPlan) -> list[str]:
    """The plan in lines."""
    lines = [
        said(
            "day.line",
            on=row.on,
            spell=Spell(row.begin, row.end),
            scene=Name(row.scene),
            room=Name(row.room),
            place=Name(row.location),
            set_up=row.set_up_from.time() if row.set_up_from < row.begin else None,
            strike=row.strike_until.time() if row.strike_until > row.end else None,
            move=Figure(row.move_min, "min") if row.move_min else None,
        )
        for row in plan.rows
    ]
    lines += [
        said(
            "day.call_line",
            on=call.on,
            person=Name(call.person),
            at=call.at.time(),
            place=Name(call.location),
        )
        for call in plan.calls
    ]
    lines += [*plan.clashes, *plan.gives, *plan.left_out, *plan.assumed]
    if (gap := gap_said(plan)) is not None:
        lines.append(gap)
    return [str(line) for line in lines]
