"""`scout recording`: what a recording of an empty room says."""

from __future__ import annotations

from pathlib import Path

import click

from scout.assess.answers import as_json as plain
from scout.assess.sound.recording import recording_answer
from scout.cli.common import JSON_OPTION, print_json, progress
from scout.errors import Refused
from scout.usecases.listening import listen
from scout.values import said


@click.command(
    help="Measure a recording: levels, octave bands, hum, events, and what is wrong with the file."
)
@click.argument("file")
@click.option(
    "--calibration-db",
    type=float,
    help="What to add to dBFS to get dB SPL; without it levels are relative only.",
)
@JSON_OPTION
def command(file: str, calibration_db: float | None, as_json: bool) -> None:
    """Recording."""
    path = Path(file)
    if not path.is_file():
        raise Refused("FILE", file, said("refusal.not_a_file"))
    step, done = progress("measuring")
    try:
        heard = listen(path, progress=lambda at, of: step(int(at), int(of)))
    finally:
        done()
    answer = recording_answer(heard.measured, heard.warnings, calibration_db, bits=heard.bits)
    if as_json:
        print_json(plain(answer))
        return
    for name in (
        "duration_s",
        "laeq_db",
        "lceq_db",
        "lafmax_db",
        "la10_db",
        "la50_db",
        "la90_db",
        "laeq_dbfs",
        "lceq_dbfs",
        "clipped_share",
    ):
        value = getattr(answer, name)
        click.echo(
            f"{name.replace('_', ' ')}: {'not known' if value is None else f'{value:.4g}' if name == 'clipped_share' else f'{value:.1f}'}"
        )
    if answer.hum is not None:
        click.echo(
            f"hum: {answer.hum.frequency_hz:.1f} Hz, {answer.hum.above_floor_db:.0f} dB above the noise beside it"
        )
    for event in answer.events:
        click.echo(
            f"event: at {event.start_s:.1f} s for {event.length_s:.1f} s, {event.above_background_db:.0f} dB above the background ({event.kind})"
        )
    for warning in answer.warnings:
        click.echo(f"note: {warning}")
