"""What Alpine's CSP build and the page's own content policy cannot read is kept out of the templates.

The browser would only say so at run time, on the one screen where it stands; here it is found beforehand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

TEMPLATES = Path(__file__).resolve().parents[2] / "templates"
JINJA = re.compile(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}", re.DOTALL)
STRING = re.compile(r"'(?:\\.|[^'\\])*'|\"(?:\\.|[^\"\\])*\"")
ALPINE = re.compile(r"(?:x-|@|:)[\w.:-]+")
INLINE_HANDLER = re.compile(r"on[a-z]+")
DATA_SCRIPTS = ("application/json",)
# Also written to a file of its own, which has no stylesheet beside it; the web's page of it links one.
STAND_ALONE = {"ticket/ticket.html"}

UNREADABLE = {
    "?.": re.compile(r"\?\."),
    "??": re.compile(r"\?\?"),
    "an assignment such as +=": re.compile(r"[-+*/%&|^]=(?!=)"),
    "a template string": re.compile(r"`"),
    "an arrow function": re.compile(r"=>"),
    "several statements": re.compile(r";"),
    "spread": re.compile(r"\.\.\."),
    "a new object or a function": re.compile(r"\b(?:new|function|await|async|let|const|var)\b"),
    "a global of the browser": re.compile(
        r"(?<![\w.])(?:window|document|globalThis|Math|JSON|Object|Array|Number|String|Date|console|localStorage)\b"
    ),
}


class Reader(HTMLParser):
    """Collects what is wrong in one template."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "style":
            self._fault("<style>: put it into a file in static/css")
        if tag == "script" and "src" not in given and given.get("type") not in DATA_SCRIPTS:
            self._fault("an inline <script>: put it into a module in static/js")
        for name, value in given.items():
            if name == "style":
                self._fault(f'style="{value}": use a class, or :style with an object')
            elif INLINE_HANDLER.fullmatch(name):
                self._fault(f'{name}="{value}": use @{name[2:]} and a method of the component')
            elif name == "x-show":
                self._fault(f'x-show="{value}": use x-seen, which shows in the very frame')
            elif name == "x-html":
                self._fault(f'x-html="{value}": use x-text')
            elif ALPINE.fullmatch(name) and name != "x-for":
                self._expression(name, value)

    def _expression(self, name: str, value: str) -> None:
        code = STRING.sub("''", value)
        for what, pattern in UNREADABLE.items():
            if pattern.search(code):
                self._fault(f'{name}="{value}" holds {what}: move it into the component')
        if name == ":style" and not code.strip().startswith("{"):
            self._fault(f'{name}="{value}": give it an object, for a string becomes a style attribute')

    def _fault(self, what: str) -> None:
        self.faults.append(f"line {self.getpos()[0]}: {what}")


def faults_of(template: str) -> list[str]:
    """One sentence a fault. Jinja's own marks are blanked first, line breaks kept."""
    reader = Reader()
    reader.feed(JINJA.sub(lambda mark: "\n" * mark[0].count("\n"), template))
    reader.close()
    return reader.faults


def templates() -> Iterator[Path]:
    return TEMPLATES.rglob("*.html")


@pytest.mark.parametrize("path", sorted(templates()), ids=lambda path: str(path.relative_to(TEMPLATES)))
def test_a_template_holds_only_what_the_browser_may_read(path: Path) -> None:
    faults = faults_of(path.read_text(encoding="utf-8"))
    if str(path.relative_to(TEMPLATES)) in STAND_ALONE:
        faults = [fault for fault in faults if "<style>" not in fault]
    assert faults == []


@pytest.mark.parametrize(
    ("snippet", "named"),
    [
        ('<p x-text="run?.title"></p>', "?."),
        ('<p x-text="title ?? words"></p>', "??"),
        ('<button @click="count += 1">more</button>', "+="),
        ('<button @click="count -= 1">less</button>', "+="),
        ('<p x-text="`${count} to send`"></p>', "template string"),
        ('<button @click="rows.filter((row) => row.open)">open</button>', "arrow"),
        ('<button @click="shut(); done()">both</button>', "several statements"),
        ('<p :class="{ ...looks }"></p>', "spread"),
        ('<p x-text="Math.round(value)"></p>', "global"),
        ('<button @click="window.print()">print</button>', "global"),
        ('<p x-text="new Date()"></p>', "new object"),
        ('<p x-html="words"></p>', "x-html"),
        ('<p x-show="words"></p>', "x-seen"),
        ('<p style="color: red">words</p>', "style="),
        ('<p :style="looks">words</p>', "an object"),
        ('<button onclick="go()">go</button>', "onclick"),
        ("<style>p { color: red }</style>", "<style>"),
        ("<script>go()</script>", "inline <script>"),
        ('<script type="module">go()</script>', "inline <script>"),
        ("{% if true %}\n<p x-text='a?.b'></p>{% endif %}", "line 2"),
    ],
)
def test_what_the_browser_cannot_read_is_found_and_named(snippet: str, named: str) -> None:
    found = faults_of(snippet)
    assert len(found) >= 1
    assert named in " ".join(found)


@pytest.mark.parametrize(
    "snippet",
    [
        "<p x-text=\"open ? 'is it => a; list?.' : words.length + 1\"></p>",
        '<button @click="open = !open" :class="{ go: a && b || !c }">x</button>',
        '<i :style="{ left: bar.from, width: bar.width }"></i>',
        '<template x-for="(words, id) in reasons" :key="id"><b x-text="words"></b></template>',
        '<script type="application/json" id="page">{{ page|tojson }}</script>',
        '<script type="module" src="/static/js/run.js"></script>',
        '<p x-text="a >= b && a !== c"></p>',
    ],
)
def test_what_the_browser_can_read_passes(snippet: str) -> None:
    assert faults_of(snippet) == []
