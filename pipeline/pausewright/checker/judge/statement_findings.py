"""What instructions state against what the track must hold: never longer, at most a tenth less."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.limits.times import STATED_TIME_SHARE
from pausewright.checker.result.findings import BUILD, Finding
from pausewright.script import numbers_in_words
from pausewright.script.inlines import plain
from pausewright.script.model import Again, Prose, Question, Span
from pausewright.script.walk import all_inlines

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.checker.expect.extra_time import Granted
    from pausewright.script.model import Part, Script

_TIMES: Final = frozenset({"answer-time", "look-time", "phrase-time"})


def judged_statements(script: Script, granted: Granted) -> list[Finding]:
    """Return a finding for each stated time that is not true of the track."""
    return list(_Statements(script, granted).findings())


class _Statements:
    def __init__(self, script: Script, granted: Granted) -> None:
        self._script = script
        self._granted = granted
        self._scopes: list[tuple[int, int, Part, str]] = []
        """First block, one past the last, part and title of each group."""
        at = 0
        for part in script.parts:
            for group in part.groups:
                self._scopes.append((at, at + len(group.blocks), part, group.title))
                at += len(group.blocks)
            at += part.answers

    def findings(self) -> Iterator[Finding]:
        at = 0
        for part in self._script.parts:
            for group in part.groups:
                for block in group.blocks:
                    if isinstance(block, Prose):
                        yield from self._prose(block, at, part)
                    at += 1
            at += part.answers

    def _prose(self, prose: Prose, at: int, part: Part) -> Iterator[Finding]:
        for node in all_inlines(prose.inlines):
            if not isinstance(node, Span) or node.states not in _TIMES:
                continue
            told_s = numbers_in_words.duration_s(node.say or plain(node.children))
            real_s = self._real_s(node.states, at, part)
            if told_s is None or not real_s:
                continue
            if told_s > min(real_s) or told_s < STATED_TIME_SHARE * max(real_s):
                yield Finding(
                    "statement-untrue",
                    "error",
                    f"an instruction states a {node.states.replace('-', ' ')} that is not what "
                    "candidates have",
                    BUILD,
                    place=node.place,
                    expected=min(real_s),
                    measured=told_s,
                    difference=told_s - min(real_s),
                    unit="s",
                )

    def _real_s(self, kind: str, at: int, part: Part) -> list[Fraction]:
        """Return what the silences that a statement is about last: own, group, part, test."""
        own = self._in(kind, at, at + 1, practice=True)
        if own:
            return own
        mine = next(scope for scope in self._scopes if scope[0] <= at < scope[1])
        whole = (0, self._scopes[-1][1])
        of_part = [scope for scope in self._scopes if scope[2] is part]
        wider = [(of_part[0][0], of_part[-1][1]), whole]
        if mine[3]:
            wider.insert(0, (mine[0], mine[1]))
        for first, end in wider:
            found = self._in(kind, first, end, practice=part.practice)
            if found:
                return found
        return []

    def _in(self, kind: str, first: int, end: int, *, practice: bool) -> list[Fraction]:
        practised = {
            at
            for at, block in enumerate(self._blocks())
            if isinstance(block, Question) and block.practice
        }
        repeated = {at for at, block in enumerate(self._blocks()) if isinstance(block, Again)}
        asked = {at for at, block in enumerate(self._blocks()) if isinstance(block, Question)}
        is_own = end - first == 1
        sums: dict[object, Fraction] = {}
        for i, silence in enumerate(self._granted.expectation.silences):
            if silence.kind != kind or not first <= silence.block < end:
                continue
            if silence.block in practised and not practice:
                continue
            if silence.block in repeated and not is_own:
                continue  # saying questions again has an answer time of its own, stated there
            if kind == "look-time" and silence.block in asked:
                continue  # an arrangement's own, before a question: no instruction states it
            if kind == "answer-time" and not silence.is_answer_of_row and not is_own:
                continue
            unit: object = silence.unit if silence.is_answer_of_row else i
            sums[unit] = sums.get(unit, Fraction(0)) + self._granted.declared_s(i)
        return list(sums.values())

    def _blocks(self) -> Iterator[object]:
        for part in self._script.parts:
            for group in part.groups:
                yield from group.blocks
            if part.answers:
                yield None
