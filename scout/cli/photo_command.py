"""`scout photo`: what is read from a photo."""

from __future__ import annotations

from pathlib import Path

import click

from scout.cli.common import JSON_OPTION, print_json
from scout.errors import Refused
from scout.media.photos.photos import PhotoFacts, read_photo
from scout.values import Figure, Name, Value, Word, said
from scout.words.figures import coordinates, when


@click.command(
    help="Say what is read from a photo: upright size, time, place, bearing, and what could not be read."
)
@click.argument("file")
@JSON_OPTION
def command(file: str, as_json: bool) -> None:
    """Photo."""
    path = Path(file)
    if not path.is_file():
        raise Refused("FILE", file, said("command.no_file"))
    facts = read_photo(path, name=path.name)
    if as_json:
        print_json(facts.as_json())
        return
    click.echo(
        said(
            "look.photo",
            file=Name(path.name),
            format=Name(facts.format),
            width=facts.width_px,
            height=facts.height_px,
            size=Figure(facts.size_bytes / 1e6, "MB"),
        )
    )
    for fact, value in _facts(facts).items():
        value = Word("value", "unrecorded") if value is None else value
        click.echo(f"  {said('look.fact', fact=Word('photo', fact), value=value):cap}")
    for warning in facts.warnings:
        click.echo(said("look.note", note=warning))


def _facts(facts: PhotoFacts) -> dict[str, Value | None]:
    """What a camera may have recorded; None where it did not."""
    texts = {
        "taken": when(facts.taken_at),
        "satellite": when(facts.satellite_at_utc),
        "position": coordinates(facts.latitude_deg, facts.longitude_deg),
        "camera": facts.camera,
    }
    figures: dict[str, Value | None] = {
        "altitude": None if facts.altitude_m is None else Figure(facts.altitude_m, "m"),
        "bearing": None if facts.bearing_deg is None else Figure(facts.bearing_deg, "deg"),
    }
    return {key: None if text is None else Name(text) for key, text in texts.items()} | figures
