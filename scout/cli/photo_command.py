"""`scout photo`: what is read from a photo."""

from __future__ import annotations

from pathlib import Path

import click

from scout.cli.common import JSON_OPTION, print_json
from scout.errors import Refused
from scout.media.photos.photos import read_photo
from scout.values import said


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
    facts = read_photo(path, name=path.name).as_json()
    if as_json:
        print_json(facts)
        return
    for key, value in facts.items():
        if key == "warnings":
            for warning in value:
                click.echo(f"note: {warning}")
        else:
            click.echo(f"{key.replace('_', ' ')}: {'not recorded' if value is None else value}")
