"""The closed table of attributes: which may stand where.

An attribute in a place that this table does not give is an error with the nearest known.
"""

from __future__ import annotations

from typing import Final

from pausewright.problems import nearest

YES_WORDS: Final[dict[str, frozenset[str]]] = {
    "practice": frozenset({"part", "group"}),
    "printed": frozenset({"part", "group", "question"}),
    "withdrawn": frozenset({"question"}),
    "answers": frozenset({"part"}),
    "rest": frozenset({"stop"}),
    "include": frozenset({"include"}),
    "tone": frozenset({"span"}),
    "pause": frozenset({"span"}),
    "answer": frozenset({"span"}),
    "box": frozenset({"span"}),
    "staff-lines": frozenset({"span"}),
    "choice": frozenset({"span"}),
    "spell": frozenset({"span"}),
    "digits": frozenset({"span"}),
}
"""Attributes written `.word`, and where they may stand."""

UNDONE: Final = frozenset({"practice", "printed"})
"""A yes that is inherited and can be undone with `name="no"`."""

_SCOPES: Final = frozenset({"part", "group", "question", "passage"})

VALUES: Final[dict[str, frozenset[str]]] = {
    "readings": _SCOPES,
    "between-readings": _SCOPES | {"dictation"},
    "announce": _SCOPES,
    "again": _SCOPES,
    "pattern": frozenset({"part", "group", "question", "again"}),
    "answer-time": _SCOPES | {"sub-question", "dictation", "paragraph", "again"},
    "look-time": frozenset({"paragraph", "passage"}),
    "phrase-time": frozenset({"dictation", "phrase"}),
    "phrase-readings": frozenset({"dictation"}),
    "between-phrase-readings": frozenset({"dictation"}),
    "order": frozenset({"dictation", "passage"}),
    "between-paragraphs": _SCOPES,
    "between-options": frozenset({"part", "group", "question"}),
    "turn-pause": _SCOPES,
    "pause-after": frozenset({"paragraph", "indented paragraph", "passage", "sound", "turn"}),
    "for": frozenset({"stop", "page-turn"}),
    "voice": _SCOPES | {"paragraph", "indented paragraph", "dictation"},
    "speaker": frozenset({"sound"}),
    "lang": _SCOPES | {"paragraph", "indented paragraph", "turn", "span", "dictation"},
    "take": _SCOPES | {"paragraph", "indented paragraph", "turn", "dictation"},
    "pace": _SCOPES | {"paragraph", "indented paragraph", "turn", "dictation"},
    "say": frozenset({"span"}),
    "shown": frozenset({"span"}),
    "ipa": frozenset({"span"}),
    "as": frozenset({"span"}),
    "states": frozenset({"span"}),
    "lines": frozenset({"span", "question", "sub-question"}),
    "from": frozenset({"sound"}),
    "to": frozenset({"sound", "staff-note"}),
    "words": frozenset({"sound"}),
    "edges": frozenset({"sound"}),
    "level": frozenset({"sound"}),
    "fade-out": frozenset({"sound"}),
    "key": frozenset({"question", "sub-question"}),
    "sheet": frozenset({"question", "sub-question"}),
    "marks": frozenset({"question", "sub-question"}),
    "for-questions": frozenset({"passage"}),
    "questions": frozenset({"again"}),
    "captions": _SCOPES | {"span", "dictation"},
    "captions-reason": _SCOPES | {"span"},
    "time-cue": frozenset({"part", "group", "question"}),
    "width": frozenset({"sound", "span"}),
}
"""Attributes written `name="value"`, and where they may stand (settings have their own table)."""


def _article(noun: str) -> str:
    return "an" if noun[:1] in "aeiou" else "a"


def misplaced(attribute: str, value: str | None, place_kind: str) -> tuple[str, str] | None:
    """Return sentence and hint if `attribute` may not stand at such a place, else None."""
    table = YES_WORDS if value is None else VALUES
    if value == "no" and attribute in UNDONE:
        table = YES_WORDS
    if place_kind in table.get(attribute, ()):
        return None
    here = {name for name, places in table.items() if place_kind in places}
    dot = "." if value is None else ""
    if value is None and attribute in VALUES:
        return (f"‘{attribute}’ needs a value", f'write {attribute}="…"')
    if value is not None and attribute in YES_WORDS:
        undo = f', or {attribute}="no" to undo it' if attribute in UNDONE else ""
        return (f"‘{attribute}’ takes no value", f"write .{attribute}{undo}")
    known = YES_WORDS.keys() | VALUES.keys()
    if attribute not in known:
        close = nearest(attribute, here) or nearest(attribute, known)
        if close is None:
            usual = ", ".join(sorted(here)[:6])
            hint = f"known here: {usual}" if here else "take it out"
        else:
            hint = f"did you mean {'.' if close in YES_WORDS else ''}{close}?"
        return (f"‘{dot}{attribute}’ is not an attribute", hint)
    places = sorted(table[attribute]) if attribute in table else []
    return (
        f"‘{dot}{attribute}’ cannot stand on {_article(place_kind)} {place_kind}",
        f"it belongs on: {', '.join(places)}" if places else "take it out",
    )
