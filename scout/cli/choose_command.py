"""`scout choose`: which of the rooms proposed for a scene to take, or which scenes a room would serve."""

from __future__ import annotations

from typing import Any

import click

from scout.assess.answers import as_json as plain
from scout.assess.answers.finding import act_json
from scout.assess.choice.ranked import Choosing
from scout.cli.common import JSON_OPTION, print_json, read_date
from scout.cli.keeping import kept
from scout.errors import Refused
from scout.pages.choice.candidates import choosing
from scout.pages.choice.serving import SceneServed, Serving, serving
from scout.values import Figure, Name, Word, said, words


@click.command(
    help="Say which of the rooms proposed for scene SCENE to take, and why; or, with --room alone, which scenes that room would serve."
)
@click.argument("scene", type=int, required=False)
@click.option("--room", type=int, default=None, help="A room, instead of a scene.")
@click.option("--date", "on", default=None, help="Local date, YYYY-MM-DD; the next of its dates.")
@JSON_OPTION
def command(scene: int | None, room: int | None, on: str | None, as_json: bool) -> None:
    """Choose."""
    if (scene is None) == (room is None):
        raise Refused("SCENE", None, said("command.scene_or_room"))
    if scene is None:
        with kept(reading=True) as work:
            served = serving(work, room or 0)
        print_json([_served(one) for one in served.scenes]) if as_json else _print(served)
        return
    with kept(reading=True) as work:
        found = choosing(work, scene, on=read_date(on) if on is not None else None)
    if as_json:
        print_json(as_plain(found))
        return
    for line in (*found.line, *found.notes):
        click.echo(f"{line:cap}.")
    for one in found.ranked:
        click.echo(
            said(
                "command.ranked",
                room=Name(one.head.room_name),
                met=one.met,
                of=one.asked,
                tenths=round(10 * one.first_share) if one.known or not one.parts else None,
            )
        )
    for row in found.measure_next:
        click.echo(
            said("command.measure", fact=row.fact, share=Figure(100 * row.changes_share, "%"))
        )


def _print(served: Serving) -> None:
    click.echo(f"{served.line}.")
    for one in served.scenes:
        click.echo(
            said(
                "command.serves",
                scene=Name(one.scene),
                on=one.on,
                level=Word("standing", one.standing),
                met=one.room.met,
                of=one.room.asked,
                needs=words("need", one.room.missing) if one.room.missing else None,
            )
        )


def _served(one: SceneServed) -> dict[str, Any]:
    return {
        "scene": one.scene,
        "scene_id": one.scene_id,
        "production": one.production,
        "production_id": one.production_id,
        "on": one.on.isoformat(),
        "standing": one.standing,
        "state": one.state,
        "met": one.room.met,
        "asked": one.room.asked,
        "missing": [
            {
                "topic": part.topic,
                "status": part.status,
                "figure": None if part.cell.figure is None else str(part.cell.figure),
                "why": str(part.cell.why),
            }
            for part in one.required
            if part.topic not in one.open_topics
        ],
        "not_worked_out": list(one.open_topics),
        "acts": [act_json(act) for act in one.room.acts],
    }


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
