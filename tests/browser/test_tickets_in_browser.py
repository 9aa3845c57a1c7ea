"""What is typed or scanned, read on the tablet as the server reads it, sentence by sentence."""

from __future__ import annotations

from random import Random

from playwright.sync_api import Page

from floor.domain.ticket import ALPHABET, CodeMistyped, make_code, read_ticket, show_code

SIGNS = ALPHABET + "abcuUoOiIlL-/?#. \u00a0\u2011\ufeff\u200b\x85\x1c\nü😀"
GOOD = make_code(Random(7))
PICKED = [
    "", " ", GOOD, show_code(GOOD).lower(), f" {GOOD[:2]} {GOOD[2:]}\n", f"{GOOD}/12", f"{GOOD}/0", f"{GOOD}/2000",
    f"{GOOD}/2001", f"{GOOD}/0012", f"{GOOD}/twelve", f"{GOOD}/1/2", f"http://shop.example:8000/T/{GOOD}/12",
    f"HTTPS://SHOP.EXAMPLE/t/{GOOD}?from=label", f"/T/{GOOD}/", f"T/{GOOD}/3/#top", "http://shop.example/office",
    GOOD[::-1], GOOD[:5] + "U", GOOD[:5] + "\x07", GOOD[:5] + "\ufeff", GOOD[:5] + "é", "x" * 301, GOOD + " " * 300,
    "/".join("x" * 200), f"{GOOD}/١٢", f"{GOOD[:3]}\u2212{GOOD[3:]}", f"{GOOD[:3]}\x1f{GOOD[3:]}",
    GOOD[1] + GOOD[0] + GOOD[2:],
]  # fmt: skip

READ_ALL = """async (typed) => {
    const {readTicket, CodeMistyped} = await import("/static/js/tablet/tickets.js");
    return typed.map((text) => {
        try {
            const {code, garment} = readTicket(text);
            return [code, garment];
        } catch (wrong) {
            if (!(wrong instanceof CodeMistyped)) throw wrong;
            return wrong.message;
        }
    });
}"""


def typed_at_random(random: Random) -> str:
    code = make_code(random)
    if random.random() < 0.4:
        at = random.randrange(6)
        code = code[:at] + random.choice(SIGNS) + code[at + random.choice((0, 1, 1)) :]
    before = random.choice(("", "", "T/", "http://shop.example/t/", "a/b/"))
    after = random.choice(("", "", "/", "/7", "/x", "?a=1", "".join(random.choices(SIGNS, k=3))))
    return before + code + after


def as_the_server_reads(text: str) -> list[str | int | None] | str:
    try:
        return list(read_ticket(text))
    except CodeMistyped as wrong:
        return str(wrong)


def test_the_tablet_reads_tickets_as_the_server_does(page: Page) -> None:
    random = Random(11)
    typed = PICKED + [typed_at_random(random) for _ in range(1500)]
    expected = [as_the_server_reads(text) for text in typed]
    assert sum(isinstance(one, list) for one in expected) > 300
    for found, should, text in zip(page.evaluate(READ_ALL, typed), expected, typed, strict=True):
        assert found == should, repr(text)
