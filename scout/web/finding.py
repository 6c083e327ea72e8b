"""Finding rooms by words and by what they must give."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.errors import Refused, RefusedMany
from scout.pages.finding import Asked, Search, Sort, find, saved_searches
from scout.records.base import words_of
from scout.records.sheet import Setting
from scout.units import parse_length_m, parse_number
from scout.usecases import searches
from scout.values import Word, said
from scout.web.asked import version_sent
from scout.web.work import begin_again, work

bp = Blueprint("finding", __name__)
FIELDS = (
    "text",
    "tags",
    "setting",
    "latitude",
    "longitude",
    "within_km",
    "depth",
    "height",
    "noise",
    "watts",
    "sockets",
    "sort",
)
SORTS: dict[str, Sort] = {"fit": "fit", "name": "name", "distance": "distance"}


@bp.get("/find")
def show() -> ResponseReturnValue:
    """Rooms over the whole catalogue."""
    given = {name: request.args.get(name, "").strip()[:1000] for name in FIELDS}
    refusals: tuple[Refused, ...] = ()
    found: Search | None = None
    if any(given.values()):
        try:
            found = find(work(), asked_for(given))
        except Refused as refusal:
            begin_again()
            refusals = (refusal,)
        except RefusedMany as many:
            begin_again()
            refusals = tuple(many.refusals)
    return render_template(
        "rooms/find.html",
        given=given,
        found=found,
        refusals=refusals,
        settings=words_of(Setting),
        saved=saved_searches(work()),
        query={name: value for name, value in given.items() if value},
    ), 422 if refusals else 200


def asked_for(given: dict[str, str]) -> Asked:
    """A search as it was typed. Raises Refused naming the field."""
    needs: list[dict[str, Any]] = []
    if given["depth"]:
        needs.append({"topic": "depth", "depth_m": parse_length_m(given["depth"], name="depth")})
    if given["height"]:
        height = parse_length_m(given["height"], name="height")
        needs.append({"topic": "height", "height_m": height})
    for name, key in (("noise", "laeq_db"), ("watts", "watts"), ("sockets", "sockets")):
        if given[name]:
            needs.append({"topic": name, key: parse_number(given[name], name=name)})
    near = None
    if given["latitude"] or given["longitude"]:
        near = (
            _degrees("latitude", given["latitude"], 90.0),
            _degrees("longitude", given["longitude"], 180.0),
        )
    within = parse_number(given["within_km"], name="within_km") if given["within_km"] else None
    if within is not None and near is None:
        raise Refused("latitude", None, said("refused.needs_place"))
    return Asked(
        text=given["text"],
        tags=tuple(tag for part in given["tags"].split(",") if (tag := part.strip())),
        setting=given["setting"] if given["setting"] in words_of(Setting) else "",
        near=near,
        within_km=within,
        needs=tuple(needs),
        sort=SORTS.get(given["sort"], "fit"),
    )


def _degrees(name: str, text: str, most: float) -> float:
    if not text:
        raise Refused(name, None, said("record.missing"))
    value = parse_number(text, name=name)
    if abs(value) > most:
        raise Refused(name, text, said("refused.degrees", most=round(most)))
    return value


@bp.post("/find/saved")
def save() -> ResponseReturnValue:
    """Keep a search."""
    asked: dict[str, Any] = {name: request.form[name] for name in FIELDS if request.form.get(name)}
    try:
        searches.save_search(work(), request.form.get("name", ""), asked)
    except Refused as refusal:
        begin_again()
        flash(str(refusal))
    return redirect(url_for("finding.show", **asked), code=303)


@bp.post("/find/saved/<int:search_id>/bin")
def to_bin(search_id: int) -> ResponseReturnValue:
    """Move a kept search to the bin."""
    searches.bin_search(work(), search_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "savedsearch"))))
    return redirect(url_for("finding.show"), code=303)
