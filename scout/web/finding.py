"""Finding rooms by words and by what they must give."""

from __future__ import annotations

from typing import Any, get_args

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.errors import Refused, RefusedMany
from scout.pages.choice.finding import Asked, Search, Sort, find, place_named, saved_searches
from scout.records.base import words_of
from scout.records.kept import CompassPoint
from scout.records.sheet import Setting
from scout.units import parse_number, parse_position
from scout.usecases import searches
from scout.values import Word, names, said
from scout.web.asked import version_sent
from scout.web.forms.fields import BARE_NUMBER, read_length_m
from scout.web.forms.sought import read_fee, read_floor_m, read_point, understood, unmet_figures
from scout.web.work import begin_again, units, work

bp = Blueprint("finding", __name__)
FIELDS = (
    "text",
    "tags",
    "setting",
    "within_km",
    "near",
    "depth",
    "floor",
    "height",
    "facing",
    "noise",
    "watts",
    "sockets",
    "lux",
    "fee",
    "step_free",
    "sort",
)
NOT_CHIPS = ("sort",)
LENGTHS = ("depth", "height")
SORTS: dict[str, Sort] = {"fit": "fit", "name": "name", "distance": "distance"}


@bp.get("/find")
def show() -> ResponseReturnValue:
    """Rooms over the whole catalogue. What is typed in one line goes into the fields it means, at an
    address of its own.
    """
    given = {name: request.args.get(name, "").strip()[:1000] for name in FIELDS}
    typed = request.args.get("typed", "").strip()[:1000]
    ask = request.args.get("ask", typed).strip()[:1000]
    if ask != typed:
        there: dict[str, Any] = _with_line(given, typed, ask)
        return redirect(url_for("finding.show", **there, typed=ask or None), code=303)
    if not given["near"] and request.args.get("latitude") and request.args.get("longitude"):
        given["near"] = f"{request.args['latitude']}, {request.args['longitude']}"
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
    odd = unmet_figures(given["text"])
    return render_template(
        "rooms/find.html",
        given=given,
        found=found,
        refusals=refusals,
        settings=words_of(Setting),
        points=get_args(CompassPoint),
        chips=[name for name in FIELDS if given[name] and name not in NOT_CHIPS],
        odd=odd,
        odd_words=said("find.odd", parts=names(odd)),
        no_place=said("find.no_place"),
        typed=typed,
        saved=saved_searches(work()),
        query={name: value for name, value in given.items() if value},
    ), 422 if refusals else 200


def _with_line(given: dict[str, str], before: str, line: str) -> dict[str, str]:
    """The fields with what a line means in place of what the line before it meant."""
    old, new = understood(before), understood(line)
    gone = old.words.split(", ")
    words = [part for part in given["text"].split(", ") if part and part not in gone]
    stays = {name: text for name, text in given.items() if old.fields.get(name) != text}
    fields = {**stays, "text": ", ".join([*words, *filter(None, [new.words])]), **new.fields}
    return {name: text for name, text in fields.items() if text}


def asked_for(given: dict[str, str]) -> Asked:
    """A search as it was typed. Raises Refused naming the field."""
    needs: list[dict[str, Any]] = []
    for name in ("depth", "height"):
        if given[name]:
            length = read_length_m(given[name], units(), name)
            needs.append({"topic": name, f"{name}_m": length})
    if given["floor"]:
        width, length = read_floor_m(given["floor"], units(), "floor")
        needs.append({"topic": "floor", "width_m": width, "length_m": length})
    if given["facing"]:
        point = read_point(given["facing"])
        needs.append({"topic": "facing", "facing": point or given["facing"]})
    if given["step_free"]:
        needs.append({"topic": "access", "step_free": True})
    for name, key in (
        ("noise", "laeq_db"),
        ("watts", "watts"),
        ("sockets", "sockets"),
        ("lux", "lux"),
    ):
        if given[name]:
            needs.append({"topic": name, key: parse_number(given[name], name=name)})
    if given["fee"]:
        amount, currency = read_fee(given["fee"])
        needs.append({"topic": "budget", "amount": amount, "currency": currency})
    near = _position(given["near"]) if given["near"] else None
    within = parse_number(given["within_km"], name="within_km") if given["within_km"] else None
    return Asked(
        text=given["text"],
        tags=tuple(tag for part in given["tags"].split(",") if (tag := part.strip())),
        setting=given["setting"] if given["setting"] in words_of(Setting) else "",
        near=near,
        within_km=within,
        needs=tuple(needs),
        sort=SORTS.get(given["sort"], "fit"),
    )


def _position(text: str) -> tuple[float, float]:
    """Where distances are measured from: a place on record, or its degrees. Raises Refused."""
    pair = parse_position(text)
    if pair is None:
        return place_named(work(), text)
    for value, most in zip(pair, (90, 180), strict=True):
        if abs(value) > most:
            raise Refused("near", text, said("refused.degrees", most=most))
    return pair


@bp.post("/find/saved")
def save() -> ResponseReturnValue:
    """Keep a search."""
    asked: dict[str, Any] = {name: request.form[name] for name in FIELDS if request.form.get(name)}
    for name in LENGTHS:
        if name in asked and set(asked[name]) <= BARE_NUMBER and units() == "metric":
            asked[name] += " m"  # so that it stays what it is where feet are read
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
