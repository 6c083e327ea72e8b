"""What a page must be, judged by reading it: well-formed, labelled, one heading, nothing from other
hosts, no inline scripts or styles.
"""

from __future__ import annotations

from html.parser import HTMLParser

VOID = frozenset(
    [
        "area",
        "base",
        "br",
        "col",
        "embed",
        "hr",
        "img",
        "input",
        "link",
        "meta",
        "source",
        "track",
        "wbr",
    ]
)
BLOCKS = frozenset(
    [
        "address",
        "article",
        "aside",
        "div",
        "dl",
        "fieldset",
        "figure",
        "footer",
        "form",
        "h1",
        "h2",
        "h3",
        "header",
        "main",
        "nav",
        "ol",
        "p",
        "section",
        "table",
        "ul",
        "details",
    ]
)
FIELDS = frozenset({"input", "select", "textarea"})
ADDRESSES = frozenset({"href", "src", "action", "formaction", "poster", "data", "srcset"})


class Page(HTMLParser):
    """The faults of one page, in `faults`."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.faults: list[str] = []
        self.open: list[str] = []
        self.ids: list[str] = []
        self.labels: set[str] = set()
        self.fields: list[tuple[str, dict[str, str | None], bool]] = []
        self.pointers: list[str] = []
        self.count: dict[str, int] = {}
        self.lang: str | None = None
        self.in_template = 0
        self.feed(text)
        self.close()
        self._judge()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.count[tag] = self.count.get(tag, 0) + 1
        names = [name for name, _ in attrs]
        if len(names) != len(set(names)):
            self.faults.append(f"<{tag}> has an attribute twice: {names}")
        if tag in BLOCKS and "p" in self.open:
            self.faults.append(f"<{tag}> inside <p>")
        if tag == "form" and "form" in self.open:
            self.faults.append("<form> inside <form>")
        if tag in {"a", "button"} and {"a", "button"} & set(self.open):
            self.faults.append(f"<{tag}> inside {self.open[-3:]}")
        if tag == "html":
            self.lang = given.get("lang")
        if "style" in given or any(name.startswith("on") for name in given):
            self.faults.append(f"<{tag}> carries inline style or script: {given}")
        for name in ADDRESSES & given.keys():
            address = given[name] or ""
            if "//" in address.split("?")[0].removeprefix("otpauth://") or address.startswith(
                "javascript:"
            ):
                self.faults.append(f"<{tag}> points to {address}")
        if not self.in_template:
            if given.get("id"):
                self.ids.append(given["id"] or "")
            if tag == "label" and given.get("for"):
                self.labels.add(given["for"] or "")
            if tag in FIELDS and given.get("type") not in {"hidden", "submit"}:
                self.fields.append((tag, given, "label" in self.open))
            for name in ("aria-describedby", "aria-labelledby"):
                self.pointers += (given.get(name) or "").split()
        if tag == "img" and "alt" not in given:
            self.faults.append("a picture without alternative text")
        if tag not in VOID:
            self.open.append(tag)
            self.in_template += tag == "template"

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1] != tag:
            self.faults.append(f"</{tag}> closes {self.open[-2:]}")
            return
        self.open.pop()
        self.in_template -= tag == "template"

    def _judge(self) -> None:
        if self.open:
            self.faults.append(f"never closed: {self.open}")
        if self.lang != "en":
            self.faults.append("the page does not say its language")
        if self.count.get("h1") != 1:
            self.faults.append(f"{self.count.get('h1', 0)} main headings")
        twice = {key for key in self.ids if self.ids.count(key) > 1}
        if twice:
            self.faults.append(f"ids given twice: {sorted(twice)}")
        for pointer in self.pointers:
            if pointer not in self.ids:
                self.faults.append(f"nothing has the id {pointer}")
        for tag, given, inside in self.fields:
            if not inside and given.get("id") not in self.labels and not given.get("aria-label"):
                self.faults.append(f"<{tag} name={given.get('name')}> has no label")


def faults_of(text: str) -> list[str]:
    """What is wrong with a page, in words; empty when it is sound."""
    faults = Page(text).faults
    if "Traceback (most recent call last)" in text:
        faults.append("a traceback")
    return faults
