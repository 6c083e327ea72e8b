"""`scout bench`: speed as ratios against a named floor."""

from __future__ import annotations

import dataclasses
import importlib

import click

from scout.cli.common import JSON_OPTION, print_json

SUITES = {
    "bounce": "scout.bench.bounce",
    "capture": "scout.bench.capture",
    "catalogue": "scout.bench.catalogue",
    "choose": "scout.bench.choose",
    "day": "scout.bench.day",
    "daylight": "scout.bench.daylight",
    "fit": "scout.bench.fit",
    "load": "scout.bench.load",
    "packet": "scout.bench.packet",
    "sound": "scout.bench.sound",
    "whole": "scout.bench.whole",
}


@click.command(
    help="Measure speed as ratios against a floor named in each row. Exit code 1 when a goal is not met."
)
@click.argument("suite", type=click.Choice(sorted(SUITES)), required=False)
@JSON_OPTION
def command(suite: str | None, as_json: bool) -> int:
    """Bench."""
    rows = []
    for name in [suite] if suite else sorted(SUITES):
        for row in importlib.import_module(SUITES[name]).rows():
            rows.append(row)
            if not as_json:
                click.echo(
                    f"{row.name}: {row.value:g} {row.unit}, {row.ratio:g} x {row.floor} (goal: {row.goal}): {'met' if row.met else 'not met'}"
                )
    if as_json:
        print_json([dataclasses.asdict(row) for row in rows])
    return 0 if all(row.met for row in rows) else 1
