"""Scripts go out without comments and needless spaces, and mean what they meant."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tree_sitter_javascript
from tree_sitter import Language, Node, Parser

from floor.places import page_folder
from floor.web.shorter_js import shorter_js

PARSER = Parser(Language(tree_sitter_javascript.language()))
STATIC = page_folder("static")
OWN = sorted([*(STATIC / "js").rglob("*.js"), *STATIC.glob("*.js")])


def meaning(source: str) -> Any:
    """The program as a tree, without its comments; another's reading of the language than ours."""
    root = PARSER.parse(source.encode()).root_node
    assert not root.has_error, source
    return _tree(root)


def _tree(node: Node) -> Any:
    children = [_tree(child) for child in node.children if child.type != "comment"]
    return (node.type, children if node.children else node.text)


@pytest.mark.parametrize("path", OWN, ids=lambda path: path.relative_to(STATIC).as_posix())
def test_a_script_of_ours_means_the_same_and_is_shorter(path: Path) -> None:
    source = path.read_text(encoding="utf-8")
    shorter = shorter_js(source)
    assert meaning(shorter) == meaning(source)
    assert len(shorter) < len(source)
    assert shorter_js(shorter) == shorter


@pytest.mark.parametrize(
    ("source", "shorter"),
    [
        ("// why\nlet a = 1; /* what\n */ let b;\n", "let a=1;let b;\n"),
        ("const words = 'it // stays';\n", "const words='it // stays';\n"),
        ('const words = "a \\" // b";\n', 'const words="a \\" // b";\n'),
        ("const slash = /[/'\"]\\/\\//g; // a sign\n", "const slash= /[/'\"]\\/\\//g;\n"),
        ("const part = a / b / c; // 'half\n", "const part=a / b / c;\n"),
        ("const half = (a + b) / 2; // it's half\n", "const half=(a+b) / 2;\n"),
        (
            "const t = `a // b ${ c ? `d  ${ {e: 1}.e }` : '}' }  f`;\n",
            "const t=`a // b ${c?`d  ${{e:1}.e}`:'}'}  f`;\n",
        ),
        ("const sum = a + +b - -c;\n", "const sum=a+ +b- -c;\n"),
        ("const text = 1 .toFixed(2);\n", "const text=1 .toFixed(2);\n"),
        ("i++\n++j\n", "i++\n++j\n"),
        ("return  // ends here\nx\n", "return\nx\n"),
        ("const f = (a, b) =>\n  a in b;\n", "const f=(a,b)=>a in b;\n"),
        ("let a = b\n(c)\n", "let a=b\n(c)\n"),
    ],
)
def test_only_what_nothing_needs_is_left_out(source: str, shorter: str) -> None:
    assert shorter_js(source) == shorter


@pytest.mark.parametrize("source", ["const a = 'open\n", "const a = `open", "}", "if (a) /'/.test(b)\n"])
def test_what_cannot_be_read_stays_whole(source: str) -> None:
    assert shorter_js(source) == source
