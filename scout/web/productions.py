"""Productions: find, look at, start, change, bin."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.errors import Refused
from scout.packet.names import EDITIONS, edition_for
from scout.pages.day.permits import permits_to_ask
from scout.records import Kit
from scout.records.starter_kits import starter_kit, starter_kits
from scout.usecases import print_templates, printings, productions, revisions
from scout.values import Name, Said, Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import spot_asked, version_sent
from scout.web.forms.productions import ProductionForm, ShortLightForm
from scout.web.heed import heed
from scout.web.work import units, work

bp = Blueprint("productions", __name__)
OPEN_KIT = "open_kit"  # the button that opens the chosen kit in the form


@bp.get("/productions")
def listing() -> ResponseReturnValue:
    """Productions whose title or client holds a text, a page at a time."""
    text = request.args.get("text", "")[:200]
    found = productions.find_productions(work(), text=text, spot=spot_asked())
    return render_template("productions/list.html", found=found, text=text)


@bp.get("/productions/<int:production_id>")
def show(production_id: int) -> ResponseReturnValue:
    """A production with its scenes and packets; the next is asked for as the last one was."""
    page = productions.production(work(), production_id)
    people = [(one.name, edition_for(one.role)) for one in page.kept.record.crew or ()]
    return render_template(
        "productions/show.html",
        page=page,
        usual=revisions.as_last(work(), production_id, units()),
        starters=_starters(production_id),
        templates=print_templates.templates(work(), production_id),
        under_way=printings.under_way(work(), production_id),
        public_url=work().settings.public_url,
        permits=permits_to_ask(work(), production_id),
        gone=[day for day in page.kept.record.shoot_dates or () if day < work().now().date()],
        editions=[(name, Word("edition", name)) for name in EDITIONS],
        people=[(name, edition) for name, edition in people if edition is not None],
    )


@bp.route("/productions/new", methods=["GET", "POST"])
def add() -> ResponseReturnValue:
    """Start a production."""
    kit, note = _start()
    form = form_of(ProductionForm)
    page = {
        "title": "A new production",
        "verb": "Start the production",
        "back": url_for("productions.listing"),
        "starters": _starters(),
    }
    opens = request.method == "GET" or OPEN_KIT in request.form
    if opens and kit is not None:
        form.kit.show(kit.model_dump(mode="json", exclude_none=True))
        form.spread()
    if opens and request.method == "POST":
        return render_template("productions/new.html", form=form, note=note, **page)

    def save() -> str:
        record = form.record()
        if kit is not None:
            if record.kit is not None:
                raise Refused("kit", None, said("refused.two_kits"))
            record = record.model_copy(update={"kit": kit})
        added = productions.add_production(work(), record)
        heed(record)
        return url_for("productions.show", production_id=added)

    return answer_form(form, save, "productions/new.html", note=note if opens else None, **page)


@bp.route("/productions/<int:production_id>/edit", methods=["GET", "POST"])
def edit(production_id: int) -> ResponseReturnValue:
    """Change a production, its crew and its kit."""
    kept, here = (
        productions.production(work(), production_id).kept,
        url_for("productions.show", production_id=production_id),
    )
    kit, note = _start()
    form = form_of(ProductionForm, kept)
    if kit is not None and request.method == "GET":
        form.kit.show(kit.model_dump(mode="json", exclude_none=True))
        form.spread()

    def save() -> str:
        record = form.record()
        productions.save_production(work(), production_id, form.opened_at, record)
        heed(record, kept.record)
        return here

    return answer_form(
        form,
        save,
        title=kept.record.title,
        verb="Save the production",
        back=here,
        note=note,
    )


@bp.route("/productions/<int:production_id>/light", methods=["GET", "POST"])
def add_light(production_id: int) -> ResponseReturnValue:
    """Add a light to the kit in a few fields."""
    productions.kit_of(work(), production_id)  # it must be there
    here = url_for("productions.show", production_id=production_id, _anchor="kit")
    form = form_of(ShortLightForm)

    def save() -> str:
        short = form.record()
        productions.add_light(work(), production_id, short)
        flash(str(said("done.light_added", light=Name(short.id))))
        return here

    return answer_form(
        form, save, title=said("page.short_light"), verb=said("page.add_light"), back=here
    )


def _starters(production_id: int | None = None) -> list[tuple[str, Name | Said, Name | None]]:
    """Kits to start from: the last job's first, then ours; each with its word in addresses."""
    last = productions.last_kit(work(), but_for=production_id)
    own = [] if last is None else [(f"job:{last[0]}", said("page.kit_of", job=Name(last[1])), None)]
    return [*own, *((one.called, Name(one.title), Name(one.told)) for one in starter_kits())]


def _start() -> tuple[Kit | None, Said | None]:
    """The kit to start from that the address or the form names, if any, and what is said of it."""
    posted = request.method == "POST"
    called = (request.form.get("starter", "") if posted else request.args.get("kit", ""))[:40]
    kind, _, key = called.partition(":")
    if kind == "job" and key.isdecimal() and len(key) < 10:
        title, kit = productions.kit_of(work(), int(key))
        return kit, None if kit is None else said("page.same_kit", job=Name(title))
    starter = starter_kit(called)
    if starter is None:
        return None, None
    return starter.kit, said("page.starter_kit", kit=Name(starter.title))


@bp.post("/productions/<int:production_id>/bin")
def to_bin(production_id: int) -> ResponseReturnValue:
    """Move a production to the bin."""
    productions.bin_production(work(), production_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "production"))))
    return redirect(url_for("productions.listing"), code=303)
