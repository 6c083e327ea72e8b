"""Productions: find, look at, start, change, bin."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.packet.names import EDITIONS
from scout.records.starter_kits import StarterKit, starter_kit, starter_kits
from scout.usecases import printings, productions
from scout.values import Name, Said, Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import spot_asked, version_sent
from scout.web.forms.productions import ProductionForm
from scout.web.work import work

bp = Blueprint("productions", __name__)


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
    return render_template(
        "productions/show.html",
        page=page,
        last=max(page.packets, key=lambda line: line.id, default=None),
        starters=starter_kits(),
        under_way=printings.under_way(work(), production_id),
        public_url=work().settings.public_url,
        editions=[(name, Word("edition", name)) for name in EDITIONS],
    )


@bp.route("/productions/new", methods=["GET", "POST"])
def add() -> ResponseReturnValue:
    """Start a production."""
    starter = _starter()
    form = form_of(
        ProductionForm,
        start={"kit": starter.kit.model_dump(mode="json", exclude_none=True)}
        if starter is not None
        else None,
    )
    return answer_form(
        form,
        lambda: url_for(
            "productions.show", production_id=productions.add_production(work(), form.record())
        ),
        title="A new production",
        verb="Start the production",
        back=url_for("productions.listing"),
        note=_note(starter),
    )


@bp.route("/productions/<int:production_id>/edit", methods=["GET", "POST"])
def edit(production_id: int) -> ResponseReturnValue:
    """Change a production, its crew and its kit."""
    kept, here = (
        productions.production(work(), production_id).kept,
        url_for("productions.show", production_id=production_id),
    )
    starter = _starter()
    form = form_of(ProductionForm, kept)
    if starter is not None and request.method == "GET":
        form.kit.show(starter.kit.model_dump(mode="json", exclude_none=True))
        form.spread()

    def save() -> str:
        productions.save_production(work(), production_id, form.opened_at, form.record())
        return here

    return answer_form(
        form,
        save,
        title=kept.record.title,
        verb="Save the production",
        back=here,
        note=_note(starter),
    )


def _starter() -> StarterKit | None:
    """The kit to start from that the address names, if it names one."""
    return starter_kit(request.args.get("kit", "")[:40])


def _note(starter: StarterKit | None) -> Said | None:
    if starter is None or request.method != "GET":
        return None
    return said("page.starter_kit", kit=Name(starter.title))


@bp.post("/productions/<int:production_id>/bin")
def to_bin(production_id: int) -> ResponseReturnValue:
    """Move a production to the bin."""
    productions.bin_production(work(), production_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "production"))))
    return redirect(url_for("productions.listing"), code=303)
