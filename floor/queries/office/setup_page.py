"""One draft as the set-up page shows it: fields with their faults, folds with their values, the plan beside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from floor.domain.english import listed, plural
from floor.domain.outline import MAX_SVG_BYTES
from floor.queries.drafts import STILL_EMPTY
from floor.queries.office.setup_fields import OUTLINE, field_id, field_words, is_needed, size_key
from floor.queries.office.setup_plan import Preview

NEEDED_SHOWN = 4  # of what is still to be filled in; the fields themselves say the rest


@dataclass(frozen=True)
class LayerPart:
    index: int
    title: str
    summary: str
    lowest: bool
    highest: bool


@dataclass(frozen=True)
class OutlinePart:
    """`key`: another for another drawing; `name` is "" while there is none."""

    key: str
    name: str
    words: str
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class SetupPage:
    """`all_faults`: (field, sentence), "" where no field can put it right. `sizes`: those with a row of their
    own, `more_sizes`: how many have none for want of room. `seen`: the state of the draft that the page shows;
    `tried`: it was to be saved as a job, so what is missing is a fault now. `refused`: why it was not saved though
    every field is right. `changes`: what saving will do to a job that exists, "" for a new one. `elsewhere`: that
    somebody else has typed in the same draft."""

    draft: int
    heading: str
    lead: str
    changes: str
    form: Mapping[str, str]
    all_faults: tuple[tuple[str, str], ...]
    opens: bool
    sizes: tuple[str, ...]
    more_sizes: int
    layers: tuple[LayerPart, ...]
    summaries: Mapping[str, str]
    outline: OutlinePart
    understood: str
    preview: Preview | None
    seen: str
    tried: bool
    refused: str
    elsewhere: str

    most_svg_bytes = MAX_SVG_BYTES
    too_large = (
        f"The outline may have {MAX_SVG_BYTES / 1e6:.0f} MB at most; take out what is not the outline."
    )

    def id(self, key: str) -> str:
        return field_id(key)

    def value(self, key: str) -> str:
        return self.form.get(key, "")

    def size_key(self, size: str, what: str) -> str:
        return size_key(size, what)

    @cached_property
    def faults(self) -> dict[str, str]:
        """The sentence of each field that has one. What was not filled in yet is none before it was tried."""
        found: dict[str, str] = {}
        for key, sentence in self.all_faults:
            if key and (self.tried or not self._awaited(key)):
                found.setdefault(key, sentence)
        return found

    def fault(self, key: str) -> str:
        return self.faults.get(key, "")

    @property
    def listed(self) -> dict[str, str]:
        """What stands in the way of saving: by field, "" for what no field of the page can put right. It stands
        away from the fields, so each says which one it means."""
        loose = [sentence for key, sentence in self.all_faults if not key]
        loose += [self.refused] if self.refused else []
        named = {key: self._named(key, sentence) for key, sentence in self.faults.items()}
        return {**({"": " ".join(loose)} if loose else {}), **named}

    def _named(self, key: str, sentence: str) -> str:
        return f"Fill in {field_words(key, self.form)}." if sentence == STILL_EMPTY else sentence

    @property
    def missing(self) -> str:
        """What is still needed, in one sentence; "" when all is there."""
        wanted = dict.fromkeys(
            field_words(key, self.form) for key, _ in self.all_faults if self._awaited(key)
        )
        loose = " ".join(sentence for key, sentence in self.all_faults if not key)
        if not wanted:
            return loose
        # One more would take the room of saying that there is one.
        shown = list(wanted)[: NEEDED_SHOWN if len(wanted) > NEEDED_SHOWN + 1 else None]
        more = len(wanted) - len(shown)
        return f"{loose} Still needed: {listed([*shown, f'{more} more'] if more else shown)}.".strip()

    def _awaited(self, key: str) -> bool:
        return is_needed(key) and self._empty(key)

    def _empty(self, key: str) -> bool:
        return not (self.outline.name if key == OUTLINE else self.value(key).strip())

    def open(self, *keys: str) -> bool:
        """Whether a fold with these fields is to stand open: a fault lies among them."""
        return any(key in self.faults for key in keys)

    @property
    def why_no_preview(self) -> str:
        if not self.outline.name:
            return (
                "It is drawn here as soon as the outline is in, and again with every number that you change."
            )
        wrong = len(self.faults)
        if wrong:
            are = "is" if wrong == 1 else "are"
            return f"It is drawn here once {plural(wrong, 'field')} beside it {are} put right."
        return f"It is drawn here once all is filled in. {self.missing}"

    @property
    def stale(self) -> str:
        """What stands over the last good plan while there is no newer one."""
        if self.preview:
            return ""
        why = "It is drawn again once what is marked has been put right." if self.faults else self.missing
        return f"This is the plan as it was before. {why}"

    @property
    def save_words(self) -> str:
        return "Save the change" if self.changes else "Save as a job"
