"""Which of an SVG's shapes are part of the outline: fill rules, styles that hide, strokes alone."""

import pytest

from floor.domain.outline import read_outline
from tests.domain.outlines import SQUARE, refusal, svg


class TestPaint:
    @pytest.mark.parametrize(
        ("body", "even_odd"),
        [
            ('<path fill-rule="evenodd" d="M0 0h2v2h-2z"/>', True),
            ('<path style="fill-rule: evenodd" fill-rule="nonzero" d="M0 0h2v2h-2z"/>', True),
            ('<style>path{fill-rule:evenodd}</style><path fill-rule="nonzero" d="M0 0h2v2h-2z"/>', True),
            ('<g fill-rule="evenodd"><g><path d="M0 0h2v2h-2z"/></g></g>', True),
            ('<g fill-rule="evenodd"><path fill-rule="nonzero" d="M0 0h2v2h-2z"/></g>', False),
            ('<g fill-rule="evenodd"><path fill-rule="inherit" d="M0 0h2v2h-2z"/></g>', True),
            ('<g fill-rule="evenodd"><path fill-rule="initial" d="M0 0h2v2h-2z"/></g>', False),
            ('<defs><path id="p" d="M0 0h2v2h-2z"/></defs><use style="fill-rule:evenodd" href="#p"/>', True),
            ('<defs fill-rule="evenodd"><path id="p" d="M0 0h2v2h-2z"/></defs><use href="#p"/>', False),
        ],
    )
    def test_a_shape_has_the_fill_rule_that_it_names_or_inherits(self, body: str, even_odd: bool) -> None:
        assert [figure.even_odd for figure in read_outline(svg(body)).figures] == [even_odd]

    def test_the_rings_of_one_shape_are_one_figure(self) -> None:
        body = '<path d="M0 0h9v9h-9z M2 2h2v2h-2z"/><rect x="20" width="3" height="3"/>'
        assert [len(figure.rings) for figure in read_outline(svg(body)).figures] == [2, 1]

    @pytest.mark.parametrize(
        "hidden",
        [
            'display="none"',
            'style="display:none"',
            'visibility="hidden"',
            'style="visibility: collapse"',
            'opacity="0"',
            'style="opacity: 0%"',
            'class="gone"',
        ],
    )
    def test_what_is_hidden_is_no_part_of_it_and_needs_no_word(self, hidden: str) -> None:
        style = "<style>.gone { visibility: hidden }</style>"
        for body in (
            f'<rect {hidden} x="50" width="9" height="9"/>',
            f'<g {hidden}><rect x="50" width="9" height="9"/><text>note</text><image href="a.png"/></g>',
            f'<defs><rect id="r" x="50" width="9" height="9"/></defs><use href="#r" {hidden}/>',
        ):
            outline = read_outline(svg(style + body + SQUARE))
            assert outline.bounds == pytest.approx((0, -2, 2, 0))
            assert outline.left_out == ()

    @pytest.mark.parametrize(
        ("group", "child", "shown"),
        [
            ('visibility="hidden"', 'visibility="visible"', True),
            ('fill="none"', 'fill="red"', True),
            ('fill-opacity="0"', 'fill-opacity=".5"', True),
            ('display="none"', 'display="inline"', False),
            ('opacity="0"', 'opacity="1"', False),
            ('fill="none"', 'fill="inherit"', False),
            ('style="fill: none"', "", False),
            ('fill="transparent"', "", False),
            ('fill="rgba(1,2,3,0)"', "", False),
            ('fill="rgb(1 2 3 / 0%)"', "", False),
            ('fill="#12345600"', "", False),
            ('fill="rgb(0,0,0)"', "", True),
            ('fill="url(#sheen)"', "", True),
            ('fill="currentColor"', "", True),
        ],
    )
    def test_a_child_is_shown_again_only_where_the_property_is_inherited(
        self, group: str, child: str, shown: bool
    ) -> None:
        body = f'<g {group}><rect {child} x="5" width="5" height="2"/></g>'
        assert len(read_outline(svg(body + SQUARE)).figures) == 1 + shown

    @pytest.mark.parametrize(
        ("sheet", "shown"),
        [
            ("#r { fill: none } rect { fill: red }", False),
            ("rect { fill: none } .a { fill: red }", True),
            (".a { fill: none } rect.a { fill: red }", True),
            (".a.b { fill: none }", False),
            ("g > rect { fill: none } ", False),
            ("svg > rect, svg * #r { fill: none }", False),
            ("svg > rect { fill: none }", True),
            ("rect { fill: none !important } #r { fill: red }", False),
            ("rect { fill: none } @media print { rect { fill: red } }", False),
            ("@media print { rect { fill: none } .a { fill: none } }", True),
            ("@import 'x'; rect { fill: none }", False),
            ("rect:hover { fill: none }", True),
            ("/* rect { fill: red } */ rect { fill: none /* red */ }", False),
        ],
    )
    def test_the_strongest_style_rule_holds(self, sheet: str, shown: bool) -> None:
        body = f'<style>{sheet}</style><g><rect id="r" class="b a" x="5" width="5" height="2"/></g>'
        assert len(read_outline(svg(body + '<circle r="1"/>')).figures) == 1 + shown

    def test_a_sheet_for_print_does_not_hold(self) -> None:
        assert read_outline(svg(f'<style media="print">rect{{display:none}}</style>{SQUARE}')).rings

    @pytest.mark.parametrize(
        ("body", "sentence"),
        [
            (
                '<path fill="none" stroke="red" d="M0 0h9"/>',
                "the 1st path (line 1) has a stroke but no fill and is left out",
            ),
            (
                '<g stroke="red"><rect fill-opacity="0" width="9" height="9"/></g>',
                "the 1st rect (line 1) has a stroke but no fill and is left out",
            ),
            (
                '<path fill="none" d="M0 0h24v24H0z"/>',
                "the 1st path (line 1) has neither fill nor stroke and is left out",
            ),
            (
                '<path fill="none" stroke="red" stroke-width="0" d="M0 0h24v24H0z"/>',
                "the 1st path (line 1) has neither fill nor stroke and is left out",
            ),
            ('<line x2="9" stroke="red"/>', "the 1st line (line 1) encloses nothing and is left out"),
            (
                '<defs><path id="p" stroke="red" d="M0 0h9"/></defs>'
                '<use href="#p" fill="none"/><use href="#p" fill="none"/>',
                "the 1st path (line 1) has a stroke but no fill and is left out",
            ),
        ],
    )
    def test_what_has_no_fill_is_left_out_with_a_sentence(self, body: str, sentence: str) -> None:
        assert read_outline(svg(body + '<circle r="5"/>')).left_out == (sentence,)

    def test_only_the_first_few_that_are_left_out_are_named(self) -> None:
        strokes = '<path fill="none" stroke="red" d="M0 0h9"/>\n'
        left_out = read_outline(svg(SQUARE + strokes * 8)).left_out
        assert left_out[4] == "the 5th path (line 5) has a stroke but no fill and is left out"
        assert left_out[5:] == ("and 3 more",)

    def test_a_drawing_of_strokes_alone_says_what_would_do(self) -> None:
        assert refusal(svg('<g fill="none" stroke="red">\n<path d="M0 0h9"/><circle r="5"/></g>')) == (
            "the drawing has only strokes, the first of them the 1st path (line 2);"
            " give its shapes a fill, or turn the strokes into outlines"
        )
        assert "no shape of the drawing has a fill" in refusal(svg('<circle fill="none" r="5"/>'))

    def test_only_the_first_fitting_child_of_a_switch_is_drawn(self) -> None:
        body = f'<switch><foreignObject requiredExtensions="urn:x"/><g>{SQUARE}</g><circle r="50"/></switch>'
        assert read_outline(svg(body)).bounds == pytest.approx((0, -2, 2, 0))
        assert "the 1st foreignObject (line 1) is a picture" in refusal(svg("<foreignObject/>" + SQUARE))
