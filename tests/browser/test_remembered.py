"""What a screen remembers of what it works out: in a real browser, with the real Alpine and no server."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.modules import STATIC, open_page, serve_modules

ALPINE = STATIC / "vendor" / "alpine" / "alpine-csp.min.js"
MAKE = """async () => {
  const { life } = await import("/static/js/tablet/page.js");
  const { remembering } = await import("/static/js/tablet/remembered.js");
  const { reactive, effect } = Alpine;
  window.times = { whole: 0, isEven: 0, words: 0, told: [] };
  const whole = {
    number: 1,
    name: "front",
    list: [],
    get whole() { times.whole += 1; return { number: this.number }; },
    get third() { return this.list[2].name; },
    get isEven() { times.isEven += 1; return this.number % 2 === 0; },
    get words() { times.words += 1; return `${this.name} is ${this.isEven ? "even" : "odd"}`; },
    grow() { this.number += 1; return this.words; },
  };
  window.ending = life();
  window.screen_ = reactive(remembering(whole, ["whole", "isEven", "words", "third"], ending));
  effect(() => times.told.push(screen_.words));
  effect(() => screen_.words);
  effect(() => screen_.isEven);
}"""
SETTLED = "() => new Promise((done) => Alpine.nextTick(done))"


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context()
    serve_modules(context)
    page = open_page(context)
    page.add_script_tag(path=ALPINE)
    page.wait_for_function("() => window.Alpine")
    page.evaluate(MAKE)
    yield page
    context.close()


def times(page: Page) -> Any:
    page.evaluate(SETTLED)
    return page.evaluate("times")


def test_what_three_ask_for_is_worked_out_once(page: Page) -> None:
    assert times(page) == {"whole": 0, "isEven": 1, "words": 1, "told": ["front is odd"]}


def test_who_asks_is_told_when_it_becomes_another_and_only_then(page: Page) -> None:
    page.evaluate("() => { screen_.number = 3; }")
    assert times(page)["told"] == ["front is odd"]
    page.evaluate("() => { screen_.number = 4; }")
    assert times(page)["told"] == ["front is odd", "front is even"]
    page.evaluate("() => { screen_.name = 'back'; }")
    assert times(page)["told"][-1] == "back is even"


def test_in_the_middle_of_a_tap_it_is_never_an_old_one(page: Page) -> None:
    assert page.evaluate("() => screen_.grow()") == "front is even"
    assert (
        page.evaluate("() => { screen_.grow(); screen_.name = 'back'; return screen_.words; }")
        == "back is odd"
    )
    assert times(page)["told"][-1] == "back is odd"


def test_what_rests_on_nothing_that_changed_is_not_worked_out_again(page: Page) -> None:
    page.evaluate(
        "() => { times.parts = 0; Alpine.effect(() => { times.parts += 1; return screen_.whole; }); }"
    )
    page.evaluate("() => { screen_.name = 'back'; }")
    assert times(page) == {
        "whole": 1, "isEven": 1, "words": 2, "told": ["front is odd", "back is odd"], "parts": 1,
    }  # fmt: skip
    page.evaluate("() => { screen_.number = 3; }")  # odd as before: what rests on that alone stays
    assert times(page) == {
        "whole": 2, "isEven": 2, "words": 2, "told": ["front is odd", "back is odd"], "parts": 2,
    }  # fmt: skip


def test_two_changes_of_one_tap_are_told_once(page: Page) -> None:
    page.evaluate("() => { screen_.number = 2; screen_.name = 'back'; }")
    assert times(page)["told"] == ["front is odd", "back is even"]


def test_an_object_is_the_same_one_until_the_data_is_another(page: Page) -> None:
    assert page.evaluate("() => screen_.whole === screen_.whole")
    assert page.evaluate(
        "() => { const before = screen_.whole; screen_.number = 7; return screen_.whole !== before; }"
    )
    assert page.evaluate("() => screen_.whole.number") == 7


def test_after_the_screen_has_gone_nothing_is_worked_out_by_itself(page: Page) -> None:
    page.evaluate("() => { ending.end(); times.words = times.isEven = 0; screen_.number = 2; }")
    assert times(page)["words"] == 0
    assert page.evaluate("() => screen_.words") == "front is even"


def test_what_cannot_be_worked_out_fails_for_who_asks_and_hinders_nobody_else(page: Page) -> None:
    page.evaluate("""() => {
      times.thirds = [];
      screen_.list = [0, 1, { name: "third" }];
      Alpine.effect(() => {
        try {
          times.thirds.push(screen_.third);
        } catch (broken) {
          times.thirds.push(broken.constructor.name);
        }
      });
    }""")
    page.evaluate("() => { screen_.list = []; screen_.number = 2; }")
    found = times(page)
    assert found["thirds"] == ["third", "TypeError"]
    assert found["told"] == ["front is odd", "front is even"]
    page.evaluate("() => { screen_.list = [0, 1, { name: 'again' }]; }")
    assert times(page)["thirds"] == ["third", "TypeError", "again"]
