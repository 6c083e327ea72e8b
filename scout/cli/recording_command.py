"""`scout recording`: what a recording of an empty room says."""

from __future__ import annotations

from pathlib import Path

import click

from scout.assess.answers import as_json as plain
from scout.assess.sound.recording import levels_said, recording_answer, recording_words
from scout.cli.common import JSON_OPTION, print_json, progress
from scout.errors import Refused
from scout.usecases.listening import listen
from scout.usecases.recordings import calibrated, measured_plain
from scout.values import Figure, said


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
        raise Refused("FILE", file, said("command.no_file"))
    step, done = progress("measuring")
    try:
        heard = listen(path, progress=lambda at, of: step(int(at), int(of)))
    finally:
        done()
    answer = recording_answer(heard.measured, heard.warnings, calibration_db, bits=heard.bits)
    if as_json:
        print_json(plain(answer))
        return
    measured = measured_plain(heard)
    shown = calibrated(measured, calibration_db)
    click.echo(said("recording.lasted", lasted=Figure(answer.duration_s, "s")))
    for name, level in levels_said(shown, calibrated=calibration_db is not None).items():
        click.echo(f"{name} {level}")
    if answer.laeq_dbfs is not None:
        for words in recording_words(shown, measured):
            click.echo(f"{words:cap}")
    for warning in answer.warnings:
        click.echo(said("look.note", note=warning))
