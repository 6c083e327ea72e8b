"""`scout choose`: which of the rooms proposed for a scene to take."""

from __future__ import annotations

from typing import Any

import click

from scout.assess.answers import as_json as plain
from scout.assess.answers.finding import act_json
from scout.assess.choice.ranked import Choosing
from scout.cli.common import JSON_OPTION, print_json, read_date
from scout.pages.choice import choosing
from scout.settings import Settings
from scout.usecases.work import open_work, prepare
from scout.values import Figure, Name, said


@click.command(help="Say which of the rooms proposed for scene SCENE to take, and why.")
@click.argument("scene", type=int)
@click.option("--date", "on", default=None, help="Local date, YYYY-MM-DD; the next of its dates.")
@JSON_OPTION
def command(scene: int, on: str | None, as_json: bool) -> None:
    """Choose."""
    settings = Settings.from_environment()
    prepare(settings)
    with open_work(settings, reading=True) as work:
        found = choosing(work, scene, on=read_date(on) if on is not None else None)
    if as_json:
        print_json(as_plain(found))
        return
    for line in (*found.line, *found.notes):
        click.echo(f"{line:cap}.")
    for room in found.ranked:
        click.echo(
            said(
                "command.ranked",
                room=Name(room.head.room_name),
                met=room.met,
                of=room.asked,
                tenths=round(10 * room.first_share),
            )
        )
    for row in found.measure_next:
        click.echo(
            said("command.measure", fact=row.fact, share=Figure(100 * row.changes_share, "%"))
        )


def as_plain(found: Choosing) -> dict[str, Any]:
    """The choice in the published keys."""
    return {
        "scene": found.comparison.scene,
        "on": found.comparison.on.isoformat(),
        "line": [str(line) for line in found.line],
        "candidates": [
            {
                "room": room.head.room_name,
                "room_id": room.head.room_id,
                "state": room.head.state,
                "first_share": plain(room.first_share),
                "met": room.met,
                "asked": room.asked,
                "missing": list(room.missing),
                "dates": [
                    {"on": day.on.isoformat(), "met": day.met, "asked": day.of}
                    for day in room.head.dates
                ],
                "preferred": plain(room.total),
                "alike": room.alike,
                "beaten": room.beaten,
                "acts": [act_json(act) for act in room.acts],
            }
            for room in found.ranked
        ],
        "measure_next": [
            {
                "fact": str(row.fact),
                "topic": row.topic,
                "room": row.room_name,
                "changes_share": plain(row.changes_share),
                "at": None if row.at is None else str(row.at),
                "instead": row.instead,
            }
            for row in found.measure_next
        ],
        "turns": [str(turn) for turn in found.turns],
        "notes": [str(note) for note in found.notes],
    }
