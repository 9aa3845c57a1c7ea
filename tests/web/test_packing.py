"""The tablet's modules go out in few packs, and each is one and the same however it is named."""

from __future__ import annotations

import pytest

from floor.web import static_files
from floor.web.packing import ENTRY, Unpackable, packed_modules, parse
from tests.web.test_shorter_js import meaning

SOURCES = {
    ENTRY: 'import{a,b as c}from"../ab.js";import*as all from"../ab.js";const l=()=>import("./late.js");a(c,all);\n',
    "js/ab.js": "export const a=(x)=>`${x}}`;function own(){return 1}\nexport{own as b};export async function d(){}\n",
    "js/tablet/late.js": 'import{a}from"../ab.js";export class Late{}\nconst u=new URL("x",import.meta.url);a(u);\n',
}


def test_what_comes_at_once_and_what_comes_later_are_two_packs() -> None:
    found = packed_modules(SOURCES.__getitem__)
    assert set(found) == {"pack/0.js", "pack/1.js", *SOURCES}
    assert "class Late" not in found["pack/0.js"]
    assert 'import("/static/js/tablet/late.js")' in found["pack/0.js"]
    assert found["pack/1.js"].startswith('import{$0}from"/static/pack/0.js";')
    assert 'new URL("/static/js/tablet/late.js",location.href).href' in found["pack/1.js"]


def test_a_modules_own_address_gives_what_it_exports() -> None:
    address = packed_modules(SOURCES.__getitem__)["js/ab.js"]
    assert address == 'import{$0}from"/static/pack/0.js";\nexport const{a,b,d}=$0();\n'


@pytest.mark.parametrize(
    "source",
    [
        "export default 1;",
        "export let a=1;",
        'import a from"./a.js";',
        'export*from"./a.js";',
        'import{a}from"a";',
    ],
)
def test_what_a_pack_cannot_hold_is_named(source: str) -> None:
    with pytest.raises(Unpackable, match="one"):
        parse("js/one.js", source)


def test_modules_that_import_each_other_are_not_packed() -> None:
    circle = {ENTRY: 'import{a}from"./a.js";', "js/tablet/a.js": 'import{b}from"./tablet.js";'}
    with pytest.raises(Unpackable, match="imports itself"):
        packed_modules(circle.__getitem__)


def test_all_of_the_tablets_modules_are_packed_and_read_well() -> None:
    packs = static_files.packs()
    assert ENTRY in packs
    for name, file in packs.items():
        assert meaning(file.body.decode()), name
    assert "js/tablet/run_page.js" in packs
    assert b"run_frame" not in packs["pack/0.js"].body
