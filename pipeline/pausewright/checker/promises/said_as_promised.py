"""What was heard against what is promised: words as written, readings, parts, stated values."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.checker.promises.differences import Difference
from pausewright.checker.promises.events import Wild, solid
from pausewright.checker.result.items import name_of
from pausewright.script import numbers_in_words
from pausewright.script.model import Question

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.arrange.arrangement import FieldName
    from pausewright.checker.promises.events import Key, Said
    from pausewright.checker.promises.found import Found, FoundWords
    from pausewright.checker.promises.promise import Promise
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place

READ: Final = frozenset({"question", "passage", "dictation"})
_ROLES: Final = {
    "instruction": "an instruction",
    "announcement": "an announcement",
    "cue": "a cue, a tone or the words before a silence",
    "continues": "the line after a stop",
    "answer": "an answer that is read aloud",
}


class SaidAsPromised:
    """Compares what is said on a track with what is promised."""

    def __init__(self, promise: Promise, found: Found) -> None:
        """Keep both sides."""
        self._promise = promise
        self._promised = promise.said()
        self._found = found
        self._items = {key[1] for key in self._promised if key[1] is not None}
        self._found_items = {key[1] for key in found.words if key[1] is not None}

    def differences(self) -> Iterator[Difference]:
        """Give what is not as promised."""
        yield from self._whole_items()
        yield from self._readings()
        for key, said in self._promised.items():
            words = self._found.words.get(key)
            if words is not None:
                yield from self._words(key, said, words)
            elif self._is_told(key):
                what = _what(key)
                yield self._off(self._field_of(key), f"{what} is promised and is not there",
                                said[0].place, key[1])  # fmt: skip
        for key in self._found.words:
            if key not in self._promised and self._is_told(key):
                name = self._field_of(key)
                yield self._off(name, f"{_what(key)} is there and is not promised", None, key[1])

    def _is_told(self, key: Key) -> bool:
        """Say whether a key has a difference of its own: neither its item's nor its reading's."""
        item = key[1]
        if item is None:
            return True
        if item not in self._items or item not in self._found_items:
            return False
        return key[0] not in READ

    def _whole_items(self) -> Iterator[Difference]:
        name: FieldName | None = "leave-out" if self._promise.arrangement.leave_out else None
        for item in sorted(self._items - self._found_items, key=str):
            yield self._off(name, f"{name_of(item)} is promised and is not there", None, item)
        for item in sorted(self._found_items - self._items, key=str):
            yield self._off(name, f"{name_of(item)} is there and is not promised", None, item)

    def _readings(self) -> Iterator[Difference]:
        for item in sorted(self._items & self._found_items, key=str):
            asked = {key[2] for key in self._promised if key[1] == item and key[0] in READ}
            there = {key[2] for key in self._found.words if key[1] == item and key[0] in READ}
            if asked != there:
                yield self._off(
                    self._reading_field(),
                    f"{name_of(item)} is read {len(there)} times where {len(asked)} are promised",
                    None,
                    item,
                    (len(asked), len(there)),
                )

    def _reading_field(self) -> FieldName | None:
        return None if self._promise.arrangement.readings is None else "readings"

    def _field_of(self, key: Key) -> FieldName | None:
        """Return which field a difference under a key is laid to; None: the script itself."""
        arrangement = self._promise.arrangement
        if key[0] in READ:
            return self._reading_field()
        if key[0] in {"cue", "continues"} and arrangement.rest_breaks is not None:
            return "rest-breaks"
        if key[0] == "cue" and arrangement.extra_time is not None:
            return "extra-time"
        if key[0] == "announcement" and arrangement.readings is not None:
            return "readings"
        return None

    def _words(self, key: Key, said: Sequence[Said], words: FoundWords) -> Iterator[Difference]:
        chunks = [chunk for one in said for chunk in one.chunks]
        place, item = said[0].place, key[1]
        wild = [
            (chunk, one.block) for one in said for chunk in one.chunks if isinstance(chunk, Wild)
        ]
        if not wild:
            asked, there = solid(" ".join(map(str, chunks))), solid(words.text)
            if asked != there:
                what = _what(key)
                field = self._field_of(key) if key[0] in READ | {"cue"} else None
                yield self._off(field, f"{what} does not have the words of the script", place, item)
        else:
            match = re.fullmatch(_pattern(chunks), words.text, re.DOTALL)
            if match is None:
                yield self._off(None, f"{_what(key)} does not have the words of the script",
                                place, item)  # fmt: skip
            else:
                for (one, block), told in zip(wild, match.groups(), strict=True):
                    yield from self._stated(one, told, block, item)
        recordings = [mark for one in said for mark in one.recordings]
        if recordings != words.recordings:
            yield self._off(
                self._field_of(key), f"{_what(key)} does not have the recordings of the script",
                place, item, (len(recordings), len(words.recordings)),
            )  # fmt: skip
        n_tones = sum(len(one.tones) for one in said)
        if n_tones != len(words.tones):
            yield self._off(self._field_of(key), f"{_what(key)} does not have its tones", place,
                            item, (n_tones, len(words.tones)))  # fmt: skip

    # ---- stated values

    def _stated(self, wild: Wild, told: str, block: int, item: Item | None) -> Iterator[Difference]:
        if wild.states not in {"readings", "last-reading", "questions"}:
            return
        value = (
            numbers_in_words.ordinal(told)
            if wild.states == "last-reading"
            else numbers_in_words.times(told)
        )
        real = self._in_force(wild.states, block)
        if value is not None and real and any(value != one for one in real):
            yield Difference(
                "statement-untrue",
                None,
                f"an instruction states another number of {wild.states.replace('-', ' ')} than "
                "candidates have",
                wild.place,
                item,
                real[0],
                int(value),
            )

    def _in_force(self, kind: str, block: int) -> list[int]:
        """Return what a statement is about: its group, else its part, else the test."""
        promise = self._promise
        at, rows = 0, []
        for part in promise.script.parts:
            for group in part.groups:
                is_out = {part.title, group.title} & set(promise.arrangement.leave_out)
                rows += [
                    (at + n, part, group, one, bool(is_out)) for n, one in enumerate(group.blocks)
                ]
                at += len(group.blocks)
            at += part.answers
        mine = next((row for row in rows if row[0] == block), None)
        if mine is None:
            return []
        scopes = [
            [row for row in rows if row[2] is mine[2]] if mine[2].title else [],
            [row for row in rows if row[1] is mine[1]],
            rows,
        ]
        for scope in scopes:
            kept = [
                row
                for row in scope
                if not row[4]
                and not (isinstance(row[3], Question) and row[3].practice and not mine[1].practice)
            ]
            if kind == "questions":
                n = sum(isinstance(row[3], Question) for row in kept)
                if n:
                    return [n]
                continue
            found = [n for row in kept for n in promise.heard.get(row[0], ()) if n]
            if found:
                return found
        return []

    def _off(
        self,
        name: FieldName | None,
        sentence: str,
        place: Place | None,
        item: Item | None,
        numbers: tuple[int, int] | None = None,
    ) -> Difference:
        code = f"promise-{name}" if name else "promise-words"
        asked, there = numbers or (None, None)
        return Difference(code, name, sentence, place, item, asked, there)


def _pattern(chunks: Sequence[str | Wild]) -> str:
    return (
        r"\W*"
        + r"\W*".join(
            r"(.+?)" if isinstance(chunk, Wild) else r"\W*".join(map(re.escape, solid(chunk)))
            for chunk in chunks
        )
        + r"\W*"
    )


def _what(key: Key) -> str:
    role, item, reading, after = key
    if role in READ:
        return f"reading {reading} of {name_of(item)}" if reading else name_of(item)
    where = f" of {name_of(item)}" if item is not None else ""
    if item is None and after is not None:
        where = f" after {name_of(after)}"
    return f"{_ROLES[role]}{where}"
