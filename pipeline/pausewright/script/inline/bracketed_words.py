"""Words in square brackets with attributes: pauses, tones, other wordings."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.script.attributes import values
from pausewright.script.attributes.values import ValueProblem, is_language
from pausewright.script.declared import CAPTION_POLICIES
from pausewright.script.inline_model import AnswerKind, AnswerPlace, Pause, Span, Tone
from pausewright.script.inlines import has_spoken, plain

if TYPE_CHECKING:
    from pausewright.problems import Place
    from pausewright.script.attributes.braces import Braces, Item
    from pausewright.script.inline.inline_context import InlineContext
    from pausewright.script.model import Inline

READ_AS: Final = ("year", "number", "code", "score", "date", "time", "ratio", "phone")
_STATED: Final = "answer-time look-time phrase-time readings last-reading questions test-time"
STATES: Final = tuple(_STATED.split())
ANSWERS: Final[dict[str, AnswerKind]] = {
    "answer": "lines",
    "box": "box",
    "staff-lines": "staff-lines",
}
"""Yes words of places to write, and what stands there."""
_ANSWER_ATTRIBUTES: Final = {
    "answer": {"answer", "lines"},
    "box": {"box", "lines", "width"},
    "staff-lines": {"staff-lines", "lines"},
}
SHORTEST_PAUSE_S: Final = values.duration_s("0.3 s")


def read_span(
    ctx: InlineContext,
    inner: tuple[Inline, ...],
    place: Place,
    braces: Braces,
    within: tuple[str, ...],
) -> Inline | None:
    """Return what a span means; None, and a problem, if it cannot be read."""
    items = ctx.items(braces, "span")
    if not items:
        return None
    label = plain(inner)
    yes = {name for name, item in items.items() if item.value is None}
    own = yes & {"pause", "tone", "choice", "spell", "digits", *ANSWERS}
    alone = own & {"pause", "tone", *ANSWERS}
    if len(own) > 1 or any(set(items) - _ANSWER_ATTRIBUTES.get(one, {one}) for one in alone):
        names = ", ".join(f"‘{name}’" for name in items)
        ctx.error(place, f"{names} cannot stand together", "keep one", "span-conflict")
        return None
    if "pause" in yes:
        return _pause(ctx, label, place, within)
    if "tone" in yes:
        return Tone(label, place)
    if own & {"choice", *ANSWERS} and not ctx.on_paper:
        hint = "move it into ::: sheet … :::"
        ctx.error(place, f"‘.{next(iter(own))}’ belongs in a sheet", hint, "span-misplaced")
        return None
    for word in own & ANSWERS.keys():
        return _answer_place(ctx, items, place, ANSWERS[word])
    for name in ("lines", "width"):
        if name in items:
            word = "answer" if name == "lines" else "box"
            ctx.error(place, f"‘{name}’ goes with ‘.{word}’", f"write {{.{word} {name}=…}}", "span")
    return _worded(ctx, inner, items, place, label)


def _answer_place(
    ctx: InlineContext, items: dict[str, Item], place: Place, kind: AnswerKind
) -> AnswerPlace:
    lines = ctx.value(items.get("lines"), lambda v: Fraction(values.count(v)))
    width = ctx.width(items.get("width"))
    return AnswerPlace(int(lines or 1), place, kind, width)


def _pause(ctx: InlineContext, label: str, place: Place, within: tuple[str, ...]) -> Pause | None:
    try:
        pause_s = values.duration_s(label, "2 s")
    except ValueProblem as problem:
        message = "this pause has no length that can be read: " + problem.message
        ctx.error(place, message, "write seconds, for example: [2 s]{.pause}", "pause-length")
        return None
    if pause_s < SHORTEST_PAUSE_S:
        hint = "write at least [0.3 s]{.pause}"
        ctx.error(place, f"a pause of {label} is under 0.3 s", hint, "pause-length")
        return None
    if within or ctx.on_paper:
        message = "a pause cannot stand inside other brackets or on paper"
        ctx.error(place, message, "move it out", "pause-misplaced")
        return None
    return Pause(pause_s, place)


def _worded(
    ctx: InlineContext, inner: tuple[Inline, ...], items: dict[str, Item], place: Place, label: str
) -> Span | None:
    if not label.strip() and "say" not in items:
        ctx.error(place, "these brackets hold nothing", "write words in them", "span-empty")
        return None
    spoken = {"say", "ipa", "as", "spell", "digits"} & items.keys()
    if len(spoken) > 1:
        names = ", ".join(f"‘{name}’" for name in sorted(spoken))
        ctx.error(place, f"{names} cannot stand together", "keep one", "span-conflict")
    for name in ("say", "shown", "ipa"):
        item = items.get(name)
        if item is not None and not (item.value or "").strip():
            hint = f'write {name}="…"'
            ctx.error(ctx.item_place(item), f"‘{name}’ is empty", hint, "value-unreadable")
        if item is not None and re.search(r"[{}\[\]]", item.value or ""):
            message = f"‘{name}’ holds brackets or braces"
            ctx.error(ctx.item_place(item), message, "write plain words", "value-unreadable")
    if {"say", "ipa"} & items.keys() and has_spoken(inner):
        message = "inside brackets with ‘say’ or ‘ipa’ nothing else can be spoken"
        ctx.error(place, message, "take out the inner attributes", "span-inner")
    language = items["lang"].value if "lang" in items else None
    if language is not None and not is_language(language):
        message = f"‘{language}’ is not a language tag"
        hint = "for example: lang=fr or lang=es-ES"
        ctx.error(ctx.item_place(items["lang"]), message, hint, "value-unreadable")
        language = None
    words = {name: item.value for name, item in items.items()}
    return Span(
        inner,
        place,
        say=words.get("say"),
        shown=words.get("shown"),
        ipa=words.get("ipa"),
        read_as=ctx.choice(items.get("as"), READ_AS),
        language=language,
        states=ctx.choice(items.get("states"), STATES),
        captions=ctx.choice(items.get("captions"), CAPTION_POLICIES),
        captions_reason=words.get("captions-reason"),
        spell="spell" in items,
        digits="digits" in items,
        choice="choice" in items,
    )
