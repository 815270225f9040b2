"""Which declared fields change nothing on this script: nobody may take them for something given.

A field of which one half does something and the other nothing is told for that half.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import PrintLook, Share, Split
from pausewright.checker.limits.promised import LEAST_CLAUSE_S
from pausewright.checker.promises.events import Said, Waited
from pausewright.checker.promises.promise import promise_of
from pausewright.checker.promises.said_as_promised import READ
from pausewright.frozen import frozen
from pausewright.script.model import Span
from pausewright.script.walk import inlines_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from fractions import Fraction

    from pausewright.arrange.arrangement import Arrangement, FieldName
    from pausewright.checker.promises.promise import Promise
    from pausewright.script.model import Script

_HINTS: Final[dict[FieldName, str]] = {
    "extra-time": "list a kind of silence that this script has, or leave the extra time out",
    "stretch": "take it out of the list",
    "share-of": "leave it out: fixed minutes are no share",
    "extra-words": "leave them out: nothing is added in one piece, so they are never said",
    "test-time": "leave it out: no sum and no sentence of this version uses it",
    "pace": "write another pace than 100 %, or leave it out",
    "readings": "ask for more readings than the script has, or leave it out",
    "pauses": "ask for longer pauses, or leave it out: no mark here gets a longer one by it",
    "rest-breaks": "ask for breaks more often, or leave it out",
    "look-time": "ask for more than the script has, or leave it out",
    "background": "leave it out: no sound of a script lies under its speech",
    "captions": "leave it out: the script's captions show the same",
    "transcript": "leave it out: the transcript shows what captions show",
    "voice": "leave it out: the same voice speaks without it",
    "loudness": "leave it out: the script asks for the same",
    "split": "leave it out: nothing stops here, so the track is one stretch",
    "print": "leave it out: papers are printed so without it",
}
"""Fields that must change something, and what to do where they do not.

`leave-out` is refused by its own rules where no title fits; a `format` holds whatever formats a
build is asked for, so the usual one is something too.
"""


@frozen
class Idle:
    """A declared field, or a half of one, that changes nothing."""

    name: FieldName
    hint: str
    half: str = ""
    """Of a field with several: `clause` of `pauses`; "" for the whole field."""

    @property
    def written(self) -> str:
        """As an author writes it."""
        return f"{self.name}: {self.half}" if self.half else self.name


def hint_for(name: FieldName) -> str:
    """Return what to do about a field that changes nothing."""
    return _HINTS[name]


def without_effect(script: Script, arrangement: Arrangement) -> tuple[Idle, ...]:
    """Return the declared fields that change nothing on this script, by what each promises.

    A field changes something where the promise of the version differs from that of the version
    without the field. Breaks by time are not told here: only a reckoning of time places them.
    """
    names = [name for name in arrangement.declared() if name in _HINTS]
    if not names:
        return ()  # a promise takes as long as the words of the whole script
    whole = promise_of(script, arrangement)
    found: list[Idle] = []
    for name in names:
        if not _has_effect(name, whole, script, arrangement):
            found.append(Idle(name, _HINTS[name]))
        else:
            found += _idle_halves(name, whole, script, arrangement)
    return tuple(found)


def _has_effect(name: FieldName, whole: Promise, script: Script, arrangement: Arrangement) -> bool:
    if name == "pace":
        return arrangement.arranged_pace != 1
    if name == "pauses":
        return any(_parts_something(whole).values())
    if name == "background":
        return False
    if name == "print":
        return replace(arrangement.print_look or PrintLook(), before=()) != PrintLook()
    if name in {"extra-time", "stretch", "share-of", "extra-words"}:
        return _gives_time(name, whole)
    if name in {"rest-breaks", "split"} and whole.timed_breaks_at is not None:
        return True
    if name == "split":
        return "hold" in _kinds(whole)
    if name == "transcript":
        without = promise_of(script, arrangement)
        shown = promise_of(script, replace(arrangement, captions=arrangement.transcript))
        return _readable(shown) != _readable(without)
    without = promise_of(script, _without(arrangement, name))
    if name == "test-time":
        return _uses_test_time(whole, without)
    if name == "loudness":
        return whole.loudness_lufs != without.loudness_lufs
    if name == "captions":
        return _readable(whole) != _readable(without)
    if name == "voice":
        return _voices(whole) != _voices(without)
    return _heard(whole) != _heard(without)


def _without(arrangement: Arrangement, name: FieldName) -> Arrangement:
    if name == "readings":
        return replace(arrangement, readings=None)
    if name == "rest-breaks":
        return replace(arrangement, rest_breaks=None)
    if name == "look-time":
        return replace(arrangement, look_time=None)
    if name == "captions":
        return replace(arrangement, captions=None)
    if name == "voice":
        return replace(arrangement, voice=None)
    if name == "test-time":
        return replace(arrangement, test_time_s=None)
    return replace(arrangement, loudness=None)


# ---- extra time ------------------------------------------------------------------------------


def _gives_time(name: FieldName, whole: Promise) -> bool:
    """Say whether extra time, or a field beside it, does something; refused time is told so."""
    extra = whole.arrangement.extra_time
    if extra is None or whole.refusal:
        return True
    if name == "extra-time":
        return whole.events != whole.plain
    if name == "extra-words":
        return any(one.kind == "extra-time" for one in whole.waited())
    if name == "stretch":
        return bool(_kinds(whole) & set(extra.stretch))
    amounts = [extra.amount]
    if isinstance(extra.where, Split):
        amounts += [amount for _, amount in extra.where.amounts]
    return any(isinstance(amount, Share) for amount in amounts)


def _kinds(whole: Promise) -> set[str]:
    return {event.kind for event in whole.plain if isinstance(event, Waited)}


def _uses_test_time(whole: Promise, without: Promise) -> bool:
    """Say whether a sum or a sentence rests on the test time of the version."""
    extra, arrangement = whole.arrangement.extra_time, whole.arrangement
    is_needed = bool(arrangement.leave_out) and extra is not None and extra.base == "whole-test"
    is_stated = arrangement.test_time_s != whole.script.settings.test_time_s and any(
        isinstance(node, Span) and node.states == "test-time"
        for _, _, block in whole.script.blocks()
        for node in inlines_of(block)
    )
    is_summed = (whole.events, whole.refusal) != (without.events, without.refusal)
    return is_needed or is_stated or is_summed


# ---- halves of fields ------------------------------------------------------------------------


def _idle_halves(
    name: FieldName, whole: Promise, script: Script, arrangement: Arrangement
) -> Iterator[Idle]:
    """Give the parts of a field that change nothing though the field does."""
    if name == "pauses":
        for half, does in _parts_something(whole).items():
            if not does:
                yield Idle(name, f"ask for a longer pause, or leave ‘{half}’ out", half)
    extra = arrangement.extra_time
    if name == "stretch" and extra is not None and not whole.refusal:
        for kind in dict.fromkeys(extra.stretch):
            if kind not in _kinds(whole):
                yield Idle(name, f"take ‘{kind}’ out of the list: nothing here has one", kind)
    looks = arrangement.look_time
    if name == "look-time" and looks is not None and looks.before_questions_s is not None:
        halves = {
            "in-script": (looks.in_script_s, replace(looks, in_script_s=None)),
            "words": (looks.words, replace(looks, words=None)),
        }
        for half, (value, rest) in halves.items():
            without = replace(arrangement, look_time=rest)
            if value is not None and _heard(promise_of(script, without)) == _heard(whole):
                yield Idle(name, f"leave ‘{half}’ out: the track is the same without it", half)


def _parts_something(promise: Promise) -> dict[str, bool]:
    """Say of each declared pause whether there is a mark where none so long is now."""
    pauses = promise.arrangement.pauses
    if pauses is None:
        return {}
    read = [
        event
        for event in promise.events
        if isinstance(event, Said) and event.role in {"question", "passage", "dictation"}
    ]
    settings = promise.script.settings
    usual_s = {
        "sentence": settings.sentence_pause_s if settings.given is None else 0,
        "clause": LEAST_CLAUSE_S if settings.given is None else 0,
    }
    found: dict[str, bool] = {}
    for half, pause_s in (("sentence", pauses.sentence_s), ("clause", pauses.clause_s)):
        if pause_s is not None:
            is_marked = any(m.kind == half and not m.excuse for event in read for m in event.marks)
            found[half] = is_marked and pause_s > usual_s[half]
    if "sentence" in found and pauses.sentence_s is not None:
        found["sentence"] = found["sentence"] or _lengthens_authors(promise, pauses.sentence_s)
    return found


def _lengthens_authors(promise: Promise, sentence_s: Fraction) -> bool:
    """Say whether a pause of the author's own, inside a reading, becomes longer."""
    return any(
        one.kind == "pause" and one.role in READ and one.wait_s < sentence_s
        for one in promise.waited()
    )


# ---- what is compared ------------------------------------------------------------------------


def _heard(promise: Promise) -> list[object]:
    return [
        (event.kind, event.wait_s) if isinstance(event, Waited) else (event.key, event.chunks)
        for event in promise.plain
    ]


def _readable(promise: Promise) -> list[object]:
    return [
        (event.shown, event.is_shown_whole) for event in promise.plain if isinstance(event, Said)
    ]


def _voices(promise: Promise) -> list[str]:
    return [event.voice for event in promise.plain if isinstance(event, Said)]
