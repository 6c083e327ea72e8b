"""Setups of the rooms that are proposed: made with the proposal, changed, added, binned."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import zip_longest

from scout.errors import Refused, RefusedMany
from scout.records import SceneRecord, SetupRecord
from scout.records.setups import setups_asked
from scout.store import models, translate
from scout.store.queries import common
from scout.usecases import keeping, lines
from scout.usecases.noise_windows import noise_windows
from scout.usecases.sheets import sheet_of
from scout.usecases.shown import CandidateLine, Kept
from scout.usecases.work import Work
from scout.values import Many, Name, names, said
from scout.words.language import plain, speaks_of, without_end


def add_setup(work: Work, candidate_id: int, record: SetupRecord) -> int:
    """Add a setup to a room that is proposed; returns its key. Raises NotFound, RefusedMany where
    something to switch off is nothing of the room, see `_named`.
    """
    candidate = common.one(work.db, models.Candidate, candidate_id)
    record = _named(work, candidate, record)
    row = _make(work, candidate, record)
    work.commit()
    return row.id


def setup(work: Work, key: int) -> tuple[Kept[SetupRecord], CandidateLine]:
    """A setup, and the proposal it belongs to. Raises NotFound."""
    row = common.one(work.db, models.Setup, key)
    return keeping.shown(row, translate.to_record(row)), lines.candidate_line(row.candidate)


def save_setup(work: Work, key: int, version: int, record: SetupRecord) -> None:
    """Save a setup over the version it was opened at. Raises NotFound, Stale, RefusedMany where
    something to switch off is nothing of the room, see `_named`.
    """
    row = common.one(work.db, models.Setup, key)
    record = _named(work, row.candidate, record)
    words = f"setup of {row.candidate.scene.name} in {lines.room_name(row.candidate.room)} changed"
    keeping.save(work, models.Setup, key, version, record, words)


def bin_setup(work: Work, key: int, version: int) -> None:
    """Move a setup to the bin. Raises NotFound, Stale."""
    row = common.one(work.db, models.Setup, key)
    words = f"setup of {row.candidate.scene.name} moved to the bin"
    keeping.bin_row(work, row, version, words)


def make(work: Work, candidate: models.Candidate) -> None:
    """The setups that its scene asks for, where a proposal has none; without committing."""
    if translate.alive(candidate.setups):
        return
    for record in setups_asked(translate.to_record(candidate.scene)):
        _make(work, candidate, record)


def follow(work: Work, scene: models.Scene, before: SceneRecord, after: SceneRecord) -> None:
    """A scene's dates, hours or framing changed: setups that are still as they were made are made
    anew; those that somebody changed stay. Without committing.
    """
    old, new = setups_asked(before), setups_asked(after)
    if old == new:
        return
    for candidate in translate.alive(scene.candidates):
        rows = translate.alive(candidate.setups)
        if tuple(translate.to_record(row) for row in rows) != old:
            continue
        for row, record in zip_longest(rows, new):
            if row is None:
                _make(work, candidate, record)
            elif record is None:
                row.binned_at, row.binned_by = work.now(), work.name
                work.changed(row, f"setup of {scene.name} moved to the bin")
            else:
                translate.fill(row, record)
                work.changed(row, f"setup of {scene.name} follows its scene")


def _named(work: Work, candidate: models.Candidate, record: SetupRecord) -> SetupRecord:
    """A setup whose things to switch off are called as the room calls them, whatever was typed: the
    name, all the words of a reading, or words that only one of them has; case and spaces apart.
    """
    if not record.switched_off:
        return record
    room = candidate.room
    sheet = sheet_of(work, room).room
    lamps = [lamp.id for lamp in sheet.practicals or ()]
    heard: dict[str, set[str]] = {}  # words of each noise, by its name
    for reading in sheet.noise or ():
        heard[reading.id] = {reading.conditions} if reading.conditions else set()
    for window in noise_windows(work, room.location_id):
        heard.setdefault(window.record.what, set())
    called = {lamp: {lamp} for lamp in lamps}
    called |= {name: {name, *words, *called.get(name, ())} for name, words in heard.items()}
    offered = [
        said("setup.noise", noise=Name(name), words=names(words) if words else None)
        for name, words in heard.items()
    ]
    these = Many((*offered, *(Name(lamp) for lamp in lamps if lamp not in heard)), "or")
    named, refusals = dict[str, None](), []
    for typed in record.switched_off:
        fitting = _fitting(typed, called)
        if len(fitting) == 1:
            named[fitting[0]] = None
            continue
        if fitting:
            why = said("refused.switch_off.several", fits=names(fitting), these=these)
        elif not called:
            why = said("refused.switch_off.nothing")
        else:
            code = "refused.switch_off.other" if heard else "refused.switch_off.no_noise"
            why = said(code, these=these)
        refusals.append(Refused("switched_off", typed, why))
    if refusals:
        raise RefusedMany(refusals)
    return record.model_copy(update={"switched_off": tuple(named)})


def _fitting(typed: str, called: Mapping[str, set[str]]) -> list[str]:
    """The names that a text may mean: the first way of reading it that gives any."""
    if typed in called:
        return [typed]
    # who types "fridge off" means the fridge, not the reading that was taken with it off
    thing = without_end(typed, "setup.said_off")
    ways: tuple[Callable[[str, str], bool], ...] = (
        lambda name, _: _closed_up(name) == _closed_up(typed),
        lambda _, words: _closed_up(words) == _closed_up(thing),
        lambda _, words: speaks_of(words, thing, "setup.said_off"),
    )
    for fits in ways:
        found = [
            name for name, all_words in called.items() if any(fits(name, one) for one in all_words)
        ]
        if found and plain(typed):
            return found
    return []


def _closed_up(text: str) -> str:
    return plain(text).replace(" ", "")


def _make(work: Work, candidate: models.Candidate, record: SetupRecord) -> models.Setup:
    words = f"setup of {candidate.scene.name} added"  # read first: reading flushes
    row = models.Setup(candidate=candidate)
    translate.fill(row, record)
    work.add(row, words)
    return row
