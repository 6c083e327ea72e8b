"""One way to answer a form: shown, refused with everything kept, stale with both texts, or done."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from flask import redirect, render_template, request
from flask.typing import ResponseReturnValue

from scout.errors import Refused, RefusedMany, Stale
from scout.usecases.shown import Kept
from scout.web.forms.base import MORE, RecordForm, Rows
from scout.web.forms.rooms import MeasuredRecordForm
from scout.web.forms.scenes import SceneForm
from scout.web.heed import heed_typed
from scout.web.measured import measured_start
from scout.web.work import begin_again, saving, units

F = TypeVar("F", bound=RecordForm[Any])


def form_of(
    form_class: type[F],
    kept: Kept[Any] | None = None,
    *,
    timezone: str | None = None,
    start: dict[str, Any] | None = None,
) -> F:
    """The form as posted, or filled with what is kept, or empty but for what it may start from."""
    if request.method == "POST":
        posted = form_class(request.form, units=units(), timezone=timezone)
        posted.before = None if kept is None else kept.record
        return posted
    if kept is not None:
        form = form_class.showing_kept(kept.record, kept.version, units=units(), timezone=timezone)
    else:
        form = form_class.blank_one(units=units(), timezone=timezone, start=start)
    if isinstance(form, MeasuredRecordForm):
        form.measured.show(measured_start(timezone))
    return form


def answer_form(
    form: RecordForm[Any], save: Callable[[], str], template: str = "form.html", **page: Any
) -> ResponseReturnValue:
    """Show the form, or save it: `save` gives where to go next, or raises what the form then shows."""
    if request.method != "POST":
        return render_template(template, form=form, **page)
    if MORE in request.form:
        more_rows(form, request.form[MORE])
        return render_template(template, form=form, **page)
    saving()
    try:
        there = save()
        heed_typed(form)
        return redirect(there, code=303)
    except (Refused, RefusedMany) as refusal:
        begin_again()
        return render_template(template, form=form.showing(refusal), **page), 422
    except Stale as stale:
        begin_again()
        return render_template(template, form=form.beside(stale), **page), 409


def more_rows(form: RecordForm[Any], wanted: str) -> None:
    """Add an empty row where it was asked for, everything typed kept."""
    if isinstance(form, SceneForm) and wanted == "needs":
        form.add_need(request.form.get("new_topic", ""))
        return
    for rows in _rows(form):
        if rows.name == wanted:
            rows.ask_for_one()


def _rows(form: Any) -> list[Rows]:
    found = []
    for field in form:
        if isinstance(field, Rows):
            found.append(field)
        elif hasattr(field, "form"):
            found += _rows(field.form)
    return found
