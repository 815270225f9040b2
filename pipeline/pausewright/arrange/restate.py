"""Instructions that stay true: every `states` span says what is in force in an arrangement.

The times in force come from whoever has worked them out; this module only finds who has them
and words them. The check compares the words with times of its own.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from pausewright.arrange.statement_words import (
    SHORTEST_SHARE,
    count_words,
    duration_words,
    is_exact,
    ordinal_words,
)
from pausewright.script import numbers_in_words
from pausewright.script.attributes.values import decimal, plain_duration
from pausewright.script.checks.instructions import TIMES, in_force
from pausewright.script.inlines import plain
from pausewright.script.model import (
    Again,
    Dictation,
    Emphasis,
    PageTurn,
    Passage,
    Prose,
    Question,
    Span,
    Stop,
    Text,
)
from pausewright.script.walk import all_inlines

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.problems import Place, Problems
    from pausewright.script.model import Block, Group, Inline, Part, Script

TimesInForce: TypeAlias = "Mapping[tuple[str, Place], Fraction]"
"""Seconds, by kind of silence and the question, passage or paragraph that has it."""


def restate_instructions(
    script: Script, times_s: TimesInForce, added_test_s: Fraction, where: Place, problems: Problems
) -> Script:
    """Return the script with every stated value in the words for what is in force.

    Parameters
    ----------
    script : as the arrangement has it
    times_s : silences in force where they differ from the script's
    added_test_s : what comes to the test time
    where : the arrangement's place, for problems
    problems : takes each statement for which no words are true
    """
    return _Restater(script, times_s, added_test_s, where, problems).script()


class _Restater:
    def __init__(
        self,
        script: Script,
        times_s: TimesInForce,
        added_test_s: Fraction,
        where: Place,
        problems: Problems,
    ) -> None:
        self._script = script
        self._times_s = times_s
        self._added_test_s = added_test_s
        self._where = where
        self._problems = problems
        self._british = not script.settings.language.startswith("en-US")
        self._english = script.settings.language.startswith("en")

    def script(self) -> Script:
        parts = tuple(
            replace(
                part,
                groups=tuple(
                    replace(
                        group,
                        blocks=tuple(self._block(part, group, block) for block in group.blocks),
                    )
                    for group in part.groups
                ),
            )
            for part in self._script.parts
        )
        return replace(self._script, parts=parts)

    def _block(self, part: Part, group: Group, block: Block) -> Block:
        def many(paragraphs: Sequence[Prose]) -> tuple[Prose, ...]:
            return tuple(self._prose(part, group, one) for one in paragraphs)

        if isinstance(block, Prose):
            return self._prose(part, group, block)
        if isinstance(block, Passage):
            return replace(block, content=many(block.content))
        if isinstance(block, Stop | PageTurn):
            return replace(block, cue=many(block.cue))
        if isinstance(block, Again):
            return replace(block, lead_in=many(block.lead_in))
        if isinstance(block, Dictation):
            phrases = tuple(
                replace(p, prose=self._prose(part, group, p.prose)) for p in block.phrases
            )
            return replace(block, phrases=phrases)
        if isinstance(block, Question):
            content = tuple(
                self._prose(part, group, item) if isinstance(item, Prose) else item
                for item in block.content
            )
            return replace(block, content=content)
        return block

    def _prose(self, part: Part, group: Group, prose: Prose) -> Prose:
        if not any(isinstance(n, Span) and n.states for n in all_inlines(prose.inlines)):
            return prose
        return replace(prose, inlines=self._inlines(part, group, prose, prose.inlines))

    def _inlines(
        self, part: Part, group: Group, prose: Prose, nodes: tuple[Inline, ...]
    ) -> tuple[Inline, ...]:
        found: list[Inline] = []
        for node in nodes:
            if isinstance(node, Span) and node.states is not None:
                found.append(self._span(part, group, prose, node))
            elif isinstance(node, Emphasis):
                children = self._inlines(part, group, prose, node.children)
                found.append(replace(node, children=children))
            else:
                found.append(node)
        return tuple(found)

    def _span(self, part: Part, group: Group, prose: Prose, span: Span) -> Span:
        kind = span.states or ""
        have = in_force(self._script, part, group, prose, kind)
        values = [
            self._times_s.get((kind, one.owner), Fraction(one.value))
            for one in have
            if one.value is not None
        ]
        if not values:
            return span
        least, most = min(values), max(values)
        if kind == "test-time":
            least = most = least + self._added_test_s
        words = plain(span.children)
        if _value(kind, span.say or words) == least == most:
            return span
        printed, said = self._worded(kind, words, least), span.say
        if said is not None:
            said = self._worded(kind, said, least)
        is_near = most * SHORTEST_SHARE <= least if kind in TIMES else most == least
        if printed is None or (span.say and said is None) or not is_near:
            self._refuse(span, words, kind, least, most)
            return span
        shown = self._worded(kind, span.shown, least) if span.shown is not None else None
        if kind in TIMES and not is_exact(said or printed, least):
            self._problems.warn(
                span.place,
                f"‘{words}’ becomes ‘{said or printed}’, but {decimal(least, 2)} s are given",
                "choose a time that can be said exactly, or take the stated time out",
                code="states-rounded",
            )
        child: Inline = Text(printed, span.place)
        if len(span.children) == 1 and isinstance(span.children[0], Emphasis):
            child = replace(span.children[0], children=(child,))
        return replace(span, children=(child,), say=said, shown=shown)

    def _worded(self, kind: str, like: str, value: Fraction) -> str | None:
        english = self._english
        if kind in TIMES:
            return duration_words(like, value, british=self._british, english=english)
        if kind == "last-reading":
            return ordinal_words(like, int(value), english=english)
        return count_words(like, int(value), british=self._british, english=english)

    def _refuse(self, span: Span, words: str, kind: str, least: Fraction, most: Fraction) -> None:
        shown = plain_duration if kind in TIMES else str
        both = shown(least) if least == most else f"{shown(least)} to {shown(most)}"
        self._problems.error(
            span.place,
            f"‘{words}’ states the {kind}, which is {both} in an arrangement: no words are true",
            "state it where it is the same for all, or take the number out",
            code="states-untrue",
            also=(self._where,),
        )


def _value(kind: str, words: str) -> Fraction | int | None:
    if kind in TIMES:
        return numbers_in_words.duration_s(words)
    return (
        numbers_in_words.ordinal(words) if kind == "last-reading" else numbers_in_words.times(words)
    )
