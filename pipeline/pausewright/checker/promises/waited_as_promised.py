"""Silences that were found against those that are promised: kind, item, length and place."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.checker.limits.promised import SAME_WAIT_S
from pausewright.checker.promises.differences import Difference
from pausewright.checker.promises.events import Wild
from pausewright.checker.promises.said_as_promised import READ
from pausewright.checker.result.items import name_of
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.arrange.arrangement import FieldName
    from pausewright.checker.promises.events import Key, Mark, Waited
    from pausewright.checker.promises.found import Found, FoundSilence
    from pausewright.checker.promises.promise import Promise
    from pausewright.checker.result.items import Item
    from pausewright.script.silences import SilenceKind

DECLARED: Final[frozenset[str]] = frozenset(
    {
        *("look-time", "between-readings", "answer-time", "phrase-time"),
        *("between-phrase-readings", "page-turn-time", "extra-time", "hold", "pause"),
    }
)
"""Kinds of silence that somebody declares; the others are pauses by default."""

Group: TypeAlias = "tuple[SilenceKind, Item | None, Item | None]"


@dataclass(slots=True)
class MarkCount:
    """How the marks of one kind came out."""

    asked: int = 0
    found: int = 0
    excused: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))
    """Lines of the script, by why no pause is there."""
    n_excused: int = 0


class WaitedAsPromised:
    """Compares the silences of a track with what is promised."""

    def __init__(self, promise: Promise, found: Found) -> None:
        """Keep both sides."""
        self._promise = promise
        self._found = found
        self.marks = {"sentence": MarkCount(), "clause": MarkCount()}
        self._partners: dict[int, FoundSilence] = {}

    def is_heard(self, one: Waited) -> bool:
        """Say whether a promised silence was measured on the track and is as long as it must be.

        `one` is an event of the promise that `differences` went through.
        """
        if one.kind == "pause":
            return any(
                silence.is_heard and silence.wait_s == one.wait_s and silence.key == one.key
                for silence in self._found.silences
            )
        partner = self._partners.get(id(one))
        return partner is not None and partner.is_heard

    def differences(self) -> Iterator[Difference]:
        """Give what is not as promised."""
        yield from self._others()
        yield from self._pauses()

    # ---- candidates' silences, holds and page turns

    def _others(self) -> Iterator[Difference]:
        promised: dict[Group, list[Waited]] = defaultdict(list)
        there: dict[Group, list[FoundSilence]] = defaultdict(list)
        for one in self._promise.waited():
            if one.kind != "pause":
                promised[_group(one.kind, one.item, one.after)].append(one)
        for silence in self._found.silences:
            if silence.kind != "pause":
                there[_group(silence.kind, silence.item, silence.after)].append(silence)
        for group in dict.fromkeys([*promised, *there]):
            yield from self._group(group, promised.get(group, []), there.get(group, []))

    def _group(
        self, group: Group, promised: list[Waited], there: list[FoundSilence]
    ) -> Iterator[Difference]:
        kind, item, after = group
        where = f" of {name_of(item)}" if item else f" after {name_of(after)}" if after else ""
        if len(promised) != len(there):
            is_break = any(one.is_of_arrangement for one in promised)
            name = self._field_of(kind, is_break=is_break)
            yield Difference(
                f"promise-{name}" if name else "promise-silences",
                name,
                f"{len(promised)} × {silence_name(kind)}{where} promised, {len(there)} there",
                promised[0].place if promised else there[0].place,
                item,
                len(promised),
                len(there),
                at_s=there[0].at_s if there else None,
            )
            return
        for one, silence in zip(promised, there, strict=True):
            self._partners[id(one)] = silence
            if abs(one.wait_s - silence.wait_s) > SAME_WAIT_S:
                name = self._field_of(kind, is_break=one.is_of_arrangement)
                yield Difference(
                    f"promise-{name}" if name else "promise-silences",
                    name,
                    f"the {silence_name(kind)}{where} is not as long as promised",
                    one.place,
                    item,
                    one.wait_s,
                    silence.wait_s if silence.measured_s is None else silence.measured_s,
                    "s",
                    silence.at_s,
                )

    def _field_of(self, kind: SilenceKind, *, is_break: bool) -> FieldName | None:
        arrangement = self._promise.arrangement
        if kind == "hold":
            has_breaks = arrangement.rest_breaks is not None
            return "rest-breaks" if is_break or has_breaks else None
        if kind == "look-time" and arrangement.look_time is not None:
            return "look-time"
        if kind == "between-readings" and arrangement.readings is not None:
            return "readings"
        extra = arrangement.extra_time
        if extra is not None and (kind in {"extra-time", "answer-time"} or kind in extra.stretch):
            return "extra-time"
        return None

    # ---- pauses inside what is said

    def _pauses(self) -> Iterator[Difference]:
        authors: dict[Key, list[Waited]] = defaultdict(list)
        there: dict[Key, list[FoundSilence]] = defaultdict(list)
        for one in self._promise.waited():
            if one.kind == "pause":
                authors[one.key].append(one)
        for silence in self._found.silences:
            if silence.kind == "pause":
                there[silence.key].append(silence)
        said = self._promise.said()
        pauses = self._promise.arrangement.pauses
        for key in dict.fromkeys([*said, *there]):
            if key not in said or key not in self._found.words:
                continue
            chunks = [chunk for one in said[key] for chunk in one.chunks]
            marks = [m for one in said[key] for m in one.marks] if key[0] in READ and pauses else []
            is_known = not any(isinstance(chunk, Wild) for chunk in chunks)
            yield from self._of_key(key, authors[key], marks, list(there[key]), is_known=is_known)

    def _of_key(
        self,
        key: Key,
        authors: list[Waited],
        marks: list[Mark],
        there: list[FoundSilence],
        *,
        is_known: bool,
    ) -> Iterator[Difference]:
        item = key[1]
        where = f" of {name_of(item)}" if item else ""
        pauses = self._promise.arrangement.pauses
        sentence_s = pauses.sentence_s if pauses and key[0] in READ else None
        for one in authors:
            allowed = {one.wait_s, max(one.wait_s, sentence_s or one.wait_s)}
            at = next(
                (
                    n
                    for n, silence in enumerate(there)
                    if silence.wait_s in allowed and (silence.at == one.at or not is_known)
                ),
                None,
            )
            if at is None:
                yield Difference(
                    "promise-silences", None,
                    f"a pause{where} is promised and is not there, or has another length",
                    one.place, item, one.wait_s, None, "s",
                )  # fmt: skip
            else:
                there.pop(at)
        for mark in marks:
            yield from self._mark(mark, there, item)
        for silence in there:
            name: FieldName | None = "pauses" if pauses and key[0] in READ else None
            yield Difference(
                f"promise-{name}" if name else "promise-silences", name,
                f"there is a pause{where} that nobody declared there", silence.place, item,
                None, silence.wait_s, "s", silence.at_s,
            )  # fmt: skip

    def _mark(
        self, mark: Mark, there: list[FoundSilence], item: Item | None
    ) -> Iterator[Difference]:
        pauses = self._promise.arrangement.pauses
        if pauses is None:
            return
        wanted_s = pauses.sentence_s if mark.kind == "sentence" else pauses.clause_s
        if wanted_s is None:
            return
        count = self.marks[mark.kind]
        count.asked += 1
        at = next((n for n, one in enumerate(there) if one.at == mark.at), None)
        if at is not None and there[at].wait_s == wanted_s:
            count.found += there[at].is_heard
            there.pop(at)
        elif mark.excuse:
            count.excused[mark.excuse].add(mark.place.line)
            count.n_excused += 1
        else:
            where = f" of {name_of(item)}" if item else ""
            yield Difference(
                "promise-pauses", "pauses",
                f"no pause is at a mark between {mark.kind}s{where}", mark.place, item,
                wanted_s, there[at].wait_s if at is not None else None, "s",
            )  # fmt: skip


def _group(kind: SilenceKind, item: Item | None, after: Item | None) -> Group:
    return (kind, item, None) if item is not None else (kind, None, after)
