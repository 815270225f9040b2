"""Announcements and patterns as they are written, their fields filled."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.script.declared import PatternPause
from pausewright.script.model import Passage, Pause, Prose, Span, Text
from pausewright.script.reading.question_blocks import PRACTICE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.problems import Place
    from pausewright.script.declared import PatternSay
    from pausewright.script.model import Delivery, Inline, QuestionContent, Script

_FIELD: Final = re.compile(r"\{([a-z0-9-]+)\}")


class Templates:
    """Fills the templates of one script."""

    def __init__(self, script: Script) -> None:
        """Count its questions: `{total}` says the same in every version."""
        self._total = sum(1 for one in script.questions() if not one.practice)

    def filled(
        self,
        template: str,
        place: Place,
        label: str,
        part: str,
        n_readings: int,
        reading: int,
        content: Sequence[QuestionContent] = (),
    ) -> list[Inline]:
        """Return a template's words; what is not known here states something unknown."""
        proses = [one for one in content if isinstance(one, Prose)]
        known: dict[str, Inline] = {
            "number": Text(label, place),
            "total": Text(str(self._total), place),
            "part": Text(part, place),
            "reading": Text(str(reading), place),
            "readings": Text(str(n_readings), place),
            "reading-th": Span((Text("", place),), place, states="ordinal"),
        }
        found: list[Inline] = []
        at = 0
        for one in _FIELD.finditer(template):
            found.append(Text(template[at : one.start()], place))
            at = one.end()
            if one[1].isdigit() and int(one[1]) <= len(proses):
                found += _joined(proses[int(one[1]) - 1].inlines, template[at : at + 1])
            elif one[1] in known:
                found.append(known[one[1]])
        return [*found, Text(template[at:], place)]

    def steps(
        self,
        steps: Sequence[PatternSay | PatternPause],
        place: Place,
        label: str,
        part: str,
        n_readings: int,
        content: Sequence[QuestionContent],
    ) -> list[list[Inline]]:
        """Return the steps of a pattern, each as inlines; a pause is a step of its own."""
        return [
            [Pause(step.pause_s, step.place)]
            if isinstance(step, PatternPause)
            else self.filled(step.template, place, label, part, n_readings, 1, content)
            for step in steps
        ]


def _joined(inlines: Sequence[Inline], following: str) -> list[Inline]:
    """Return a paragraph in a template, which has a mark of its own after it."""
    found = list(inlines)
    last = found[-1] if found else None
    if following and following in ".,?!:;" and isinstance(last, Text):
        found[-1] = replace(last, text=last.text.rstrip().rstrip(".,:;"))
    return found


def announced(delivery: Delivery, reading: int, *, is_passage: bool) -> str | None:
    """Return the template of what is said before a reading; None for nothing."""
    if reading == 1:
        return delivery.announce.value
    later = delivery.again.value
    return later or delivery.announce.value if is_passage else later


def is_built_in(template: str) -> bool:
    """Say whether a language words a template in its own way."""
    return template == PRACTICE


def n_readings_of(one: object, n_asked: int) -> int:
    """Return what `{readings}` says."""
    return len(one.order) or n_asked if isinstance(one, Passage) else n_asked
