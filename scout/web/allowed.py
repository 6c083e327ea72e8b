"""A page without what its reader may not use: whatever leads where they may not go is taken out of
it as it leaves, so that no template has to ask, and none can forget to.
"""

from __future__ import annotations

from html.parser import HTMLParser

from flask import Flask, Response

from scout.usecases.roles import reads_as
from scout.web.rules import is_deed, may_send
from scout.web.work import asking, visiting

ALONE = frozenset({"input", "img", "br", "hr", "meta", "link", "col", "source", "wbr"})
CONTROLS = frozenset({"button", "select", "textarea", "label", "legend", "output", "datalist"})
MENUS = frozenset({"nav", "footer"})
# what has nothing to say once its links are gone
SHELLS = frozenset({"li", "p", "ul", "ol"})


def start(app: Flask) -> None:
    """Let every page go through it."""
    app.after_request(_without_what_is_not_theirs)


def _without_what_is_not_theirs(response: Response) -> Response:
    who = asking()
    limited = visiting() if who is None else who.role == "producer" or reads_as(who.role)
    if limited and response.mimetype == "text/html" and not response.is_streamed:
        response.set_data(cleared_page(response.get_data(as_text=True)))
    return response


def cleared_page(text: str) -> str:
    """The page without links, forms and buttons that its reader may not use."""
    page = _Page()
    page.feed(text)
    page.close()
    return "".join(page.out)


class _Page(HTMLParser):
    """Writes again what it reads, letter by letter, but for what is not allowed."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=False)
        self.out: list[str] = []
        # tag, where it begins in `out`, what was taken out before it, what to do
        self._open: list[tuple[str, int, int, str]] = []
        self._dropping = 0
        self._taken_out = 0
        self._in_form = 0  # forms taken apart around here
        self._in_menu = 0

    def _put(self, text: str) -> None:
        if not self._dropping:
            self.out.append(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Judge what leads somewhere."""
        given = {name: value or "" for name, value in attrs}
        do = self._judged(tag, given)
        if tag in ALONE:
            if do == "keep":
                self._put(self.get_starttag_text() or "")
            self._taken_out += do != "keep"
            return
        self._open.append((tag, len(self.out), self._taken_out, do))
        self._taken_out += do != "keep"
        if do == "drop":
            self._dropping += 1
        elif do == "keep":
            self._put(self.get_starttag_text() or "")
        self._in_form += do == "apart" and tag == "form"
        self._in_menu += tag in MENUS

    def _judged(self, tag: str, given: dict[str, str]) -> str:
        """keep; drop: with all that is in it; apart: what is in it stays."""
        if self._dropping:
            return "drop"
        if tag == "a" and "href" in given and not may_send(given["href"], "GET"):
            return "drop" if self._in_menu or is_deed(given["href"]) else "apart"
        if tag == "form":
            method = given.get("method", "get").upper()
            return "keep" if may_send(given.get("action", ""), method) else "apart"
        if tag == "button" and "formaction" in given:
            return "keep" if may_send(given["formaction"], "POST") else "drop"
        if self._in_form and (
            tag in CONTROLS or tag == "input" or "hint" in given.get("class", "")
        ):
            return "drop"
        return "keep"

    def handle_endtag(self, tag: str) -> None:
        """Close what was opened, and nothing else; a shell that was emptied goes."""
        if all(opened != tag for opened, *_rest in self._open):
            self._put(f"</{tag}>")
            return
        while self._open:
            opened, began, taken_out, do = self._open.pop()
            self._in_menu -= opened in MENUS
            self._in_form -= do == "apart" and opened == "form"
            if do == "drop":
                self._dropping -= 1
            elif do == "keep" and not self._dropping:
                emptied = self._taken_out > taken_out and not "".join(self.out[began + 1 :]).strip()
                if opened in SHELLS and emptied:
                    del self.out[began:]
                elif opened == tag:
                    self._put(f"</{tag}>")
            if opened == tag:
                return

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag that closes itself, as drawings have them."""
        if not (self._in_form and tag == "input"):
            self._put(self.get_starttag_text() or "")

    def handle_data(self, data: str) -> None:
        """Text."""
        self._put(data)

    def handle_entityref(self, name: str) -> None:
        """A sign by its name."""
        self._put(f"&{name};")

    def handle_charref(self, name: str) -> None:
        """A sign by its number."""
        self._put(f"&#{name};")

    def handle_comment(self, data: str) -> None:
        """A remark."""
        self._put(f"<!--{data}-->")

    def handle_decl(self, decl: str) -> None:
        """What the page says it is."""
        self._put(f"<!{decl}>")
