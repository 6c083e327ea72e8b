"""Links for somebody without an account: made, listed, revoked; and what their holders see."""

from __future__ import annotations

from typing import Literal

from flask import (
    Blueprint,
    Response,
    flash,
    g,
    redirect,
    render_template,
    request,
    send_file,
    session,
    url_for,
)
from flask.typing import ResponseReturnValue

from scout.errors import NotFound, Refused, RefusedMany
from scout.pages.choice import candidates
from scout.pages.day.plan import day_plan
from scout.pages.once import wait_for
from scout.usecases import people, photos, previews, revisions, sharing
from scout.usecases.sharing import Opened, Shared
from scout.usecases.work import open_work
from scout.values import Word, said
from scout.web.answer import form_of
from scout.web.day import shown as days_shown
from scout.web.forms.people import LinkForm, PassphraseForm
from scout.web.packets import sheets
from scout.web.scenes import for_client
from scout.web.security import csrf
from scout.web.work import begin_again, settings, work

bp = Blueprint("shares", __name__)
OF: dict[str, Shared] = {"packets": "packet", "productions": "day", "scenes": "choice"}
DOORS = "links"  # of the session: what was said at the doors of links that ask for a passphrase
MOST_DOORS = 20
PUBLIC = frozenset({"shares.shown", "shares.page", "shares.pdf", "shares.picture", "shares.knock"})


@bp.after_request
def _for_nobody_else(response: Response) -> Response:
    """What a link shows is found by no search engine, kept nowhere, and its address told nobody."""
    if request.endpoint in PUBLIC:
        response.headers["Referrer-Policy"] = "no-referrer"
        response.headers["X-Robots-Tag"] = "noindex, nofollow, noarchive"
        response.headers["Cache-Control"] = "no-store"
    return response


@bp.get("/links")
def listing() -> str:
    """Every link, how often it was opened, and a button to end it."""
    return render_template("shares/list.html", lines=sharing.links(work()))


@bp.route("/<any(packets, productions, scenes):of>/<int:key>/links/new", methods=["GET", "POST"])
def add(of: Literal["packets", "productions", "scenes"], key: int) -> ResponseReturnValue:
    """A new link; its address is shown this once."""
    form, address, status = form_of(LinkForm, start={"days": 14}), None, 200
    if request.method == "POST":
        try:
            token = sharing.make_link(work(), OF[of], key, form.record())
            address = url_for("shares.shown", token=token, _external=True)
        except (Refused, RefusedMany) as refusal:
            begin_again()
            form, status = form.showing(refusal), 422
    return render_template(
        "shares/new.html", form=form, address=address, kind=Word("shared", OF[of])
    ), status


@bp.post("/links/<int:link_id>/revoke")
def revoke(link_id: int) -> ResponseReturnValue:
    """End a link."""
    sharing.revoke_link(work(), link_id)
    flash(str(said("link.revoked")))
    return redirect(url_for("shares.listing"), code=303)


# -- what the holder of a link sees
def _opened(token: str, kind: Shared | None = None) -> Opened:
    """What a link leads to, for whoever has said its passphrase; from here on they read as it lets
    them. Raises NotFound.
    """
    with open_work(settings(), reading=True) as here:
        link = sharing.opened(here, token)
    if kind is not None and (link.kind != kind or _shut(link)):
        raise NotFound("link", "…")
    g.reader = link.reader
    return link


def _doors() -> dict[str, str | None]:
    found = session.get(DOORS)
    return dict(found) if isinstance(found, dict) else {}


def _shut(link: Opened) -> bool:
    """Whether a link asks for a passphrase that was not said in this session."""
    return link.door is not None and _doors().get(str(link.id)) != link.door


@bp.get("/r/<token>", endpoint="shown")
def shown(token: str) -> ResponseReturnValue:
    """What a link leads to, or the question for its passphrase."""
    wait_for(None)  # a page that asks for itself again would count twice
    link = _opened(token)
    if _shut(link):
        return render_template("shares/door.html", form=PassphraseForm())
    with open_work(settings()) as here:
        sharing.count(here, link)
    return _SHOWN[link.kind](token, link)


@bp.post("/r/<token>", endpoint="knock")
@csrf.exempt  # type: ignore[untyped-decorator]  # it does nothing in anybody's name, and the page before it says nobody where it was
def knock(token: str) -> ResponseReturnValue:
    """Say a link's passphrase."""
    with open_work(settings(), reading=True) as here:
        link = sharing.opened(here, token)
    form = PassphraseForm(request.form)
    whose = (f"link {link.id}", request.remote_addr or "unknown", None)
    with open_work(settings()) as here:
        taken = people.may_try(here, *whose)
        if taken is None:
            form.showing(Refused("passphrase", None, said("kept.too_many_tries")))
            answer = render_template("shares/door.html", form=form)
            return answer, 429, {"Retry-After": "600"}
        if not sharing.knows(here, link, form.passphrase.text):
            form.showing(Refused("passphrase", None, said("link.wrong")))
            return render_template("shares/door.html", form=form), 422
        people.was_right(here, taken, *whose)
        here.commit()
    session[DOORS] = dict([*_doors().items(), (str(link.id), link.door)][-MOST_DOORS:])
    return redirect(url_for("shares.shown", token=token), code=303)


def _packet(token: str, link: Opened) -> ResponseReturnValue:
    line = previews.printed(work(), link.record_id)
    with open_work(settings(), reading=True) as here:  # of every edition
        newest = revisions.newest(here, link.production_id)

    def picture(page: int, width_px: int) -> str:
        return url_for("shares.page", token=token, page=page, width_px=width_px)

    pdf = url_for("shares.pdf", token=token)
    newer = (
        said("revision.newer", n=line.revision, newest=newest) if newest > line.revision else None
    )
    return render_template("packets/show.html", **sheets(line, picture), pdf=pdf, newer=newer)


def _day(_token: str, link: Opened) -> ResponseReturnValue:
    return render_template("day/show.html", **days_shown(day_plan(work(), link.production_id)))


def _choice(token: str, link: Opened) -> ResponseReturnValue:
    def picture_at(photo: int) -> str:
        return url_for("shares.picture", token=token, photo_id=photo)

    with open_work(settings(), reading=True) as here:
        given = for_client(here, link.record_id, picture_at)
    return render_template("scenes/client.html", **given)


_SHOWN = {"packet": _packet, "day": _day, "choice": _choice}


@bp.get("/r/<token>/pages/<int:page>-<int:width_px>.webp")
def page(token: str, page: int, width_px: int) -> ResponseReturnValue:
    """One page of a print as a picture."""
    link = _opened(token, "packet")
    path = previews.page_picture(work(), link.record_id, page, width_px)
    return send_file(path, mimetype="image/webp")


@bp.get("/r/<token>/packet.pdf")
def pdf(token: str) -> ResponseReturnValue:
    """The print as a file."""
    link = _opened(token, "packet")
    path, name = revisions.packet_file(work(), link.record_id)
    here = request.args.get("look") == "1"
    return send_file(path, mimetype="application/pdf", as_attachment=not here, download_name=name)


@bp.get("/r/<token>/photos/<int:photo_id>.jpg")
def picture(token: str, photo_id: int) -> ResponseReturnValue:
    """The photo of one of the rooms to choose from, and of no other."""
    link = _opened(token, "choice")
    with open_work(settings(), reading=True) as here:
        if photo_id not in candidates.first_photos(here, link.record_id, ruled_out=False).values():
            raise NotFound("photo", photo_id)
        path = photos.picture(here, photo_id, "screen")
    return send_file(path, mimetype="image/jpeg")
