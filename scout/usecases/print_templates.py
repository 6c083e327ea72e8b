"""Choices of a print that are kept under a name, to be asked for again by it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from scout.errors import NotFound, Refused
from scout.records.base import NAME_MOST
from scout.store.models import PrintTemplate
from scout.store.queries import jobs
from scout.store.queries.common import by_key
from scout.usecases.revisions import Wanted, wanted_of
from scout.usecases.work import Work
from scout.values import names, said


@dataclass(frozen=True)
class Template:
    """A production's choices under a name."""

    id: int
    production_id: int
    name: str
    wanted: Wanted


def templates(work: Work, production_id: int) -> tuple[Template, ...]:
    """A production's templates by name. Raises NotFound."""
    jobs.production(work.db, production_id)
    return tuple(map(_shown, _rows(work, production_id)))


def template(work: Work, production_id: int, name: str) -> Wanted:
    """What a template asks for. Raises NotFound, or Refused with the names that there are."""
    jobs.production(work.db, production_id)
    there = {row.name: row for row in _rows(work, production_id)}
    row = there.get(_tidy(name))
    if row is None:
        others = names(there, "list")
        why = said("revision.no_template", names=others)
        raise Refused("template", name, why if there else said("revision.no_templates"))
    return wanted_of(row)


def keep_template(work: Work, production_id: int, name: str, wanted: Wanted) -> None:
    """Keep choices under a name, without stray blanks, in place of what it stood for. Raises
    NotFound, or Refused for no name and one too long.
    """
    production, kept = jobs.production(work.db, production_id), _tidy(name)
    if not kept:
        raise Refused("template_name", None, said("record.missing"))
    if len(kept) > NAME_MOST:
        raise Refused("template_name", kept, said("record.too_long", bound=NAME_MOST))
    row = next((one for one in _rows(work, production_id) if one.name == kept), None)
    told = f"template {kept} of {production.title} kept"
    if row is None:
        try:
            work.add(PrintTemplate(production_id=production_id, name=kept, **wanted.alike), told)
        except IntegrityError:  # somebody kept one under the name at the same instant
            work.db.rollback()
            keep_template(work, production_id, name, wanted)
            return
    else:
        for field, value in wanted.alike.items():
            setattr(row, field, value)
        work.log(row, told)
    work.commit()


def forget_template(work: Work, key: int) -> Template:
    """Keep a template no longer; returns what it was. Raises NotFound."""
    row = by_key(work.db, PrintTemplate, key)
    if row is None:
        raise NotFound("template", key)
    gone = _shown(row)
    work.log(row, f"template {row.name} forgotten")
    work.db.delete(row)
    work.commit()
    return gone


def _rows(work: Work, production_id: int) -> list[PrintTemplate]:
    mine = select(PrintTemplate).where(PrintTemplate.production_id == production_id)
    return sorted(work.db.scalars(mine), key=lambda row: (row.name.casefold(), row.name))


def _shown(row: PrintTemplate) -> Template:
    return Template(row.id, row.production_id, row.name, wanted_of(row))


def _tidy(name: str) -> str:
    return " ".join(name.split())
