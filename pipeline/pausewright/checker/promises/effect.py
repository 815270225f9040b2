"""Which declared fields change nothing on this script: nobody may take them for something given."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import PrintLook
from pausewright.checker.promises.events import Said, Waited
from pausewright.checker.promises.promise import promise_of

if TYPE_CHECKING:
    from pausewright.arrange.arrangement import Arrangement, FieldName
    from pausewright.checker.promises.promise import Promise
    from pausewright.script.model import Script

_HINTS: Final[dict[FieldName, str]] = {
    "extra-time": "list a kind of silence that this script has, or leave the extra time out",
    "pace": "write another pace than 100 %, or leave it out",
    "readings": "ask for more readings than the script has, or leave it out",
    "pauses": "ask for longer pauses, or leave it out: nothing here has a mark to pause at",
    "rest-breaks": "ask for breaks more often, or leave it out",
    "look-time": "ask for more than the script has, or leave it out",
    "captions": "leave it out: the script's captions show the same",
    "transcript": "leave it out: the transcript shows what captions show",
    "voice": "leave it out: the same voice speaks without it",
    "loudness": "leave it out: the script asks for the same",
    "print": "leave it out: papers are printed so without it",
}
"""Fields that must change something, and what to do where they do not.

`leave-out` is refused by its own rules where no title fits; a `format` need not differ from the
usual one; `background` can change nothing in any script, which is a warning of its own.
"""


def hint_for(name: FieldName) -> str:
    """Return what to do about a field that changes nothing."""
    return _HINTS[name]


def without_effect(script: Script, arrangement: Arrangement) -> tuple[FieldName, ...]:
    """Return the declared fields that change nothing on this script, by what each promises.

    A field changes something where the promise of the version differs from that of the version
    without the field. Breaks by time are not told here: only a reckoning of time places them.
    """
    names = [name for name in arrangement.changes if name in _HINTS]
    if not names:
        return ()  # a promise takes as long as the words of the whole script
    whole = promise_of(script, arrangement)
    return tuple(name for name in names if not _has_effect(name, whole, script, arrangement))


def _has_effect(name: FieldName, whole: Promise, script: Script, arrangement: Arrangement) -> bool:
    if name == "pace":
        return arrangement.arranged_pace != 1
    if name == "pauses":
        return _parts_something(whole)
    if name == "print":
        return replace(arrangement.print_look or PrintLook(), before=()) != PrintLook()
    if name == "extra-time":
        return whole.events != whole.plain or bool(whole.refusal)
    breaks = arrangement.rest_breaks
    if name == "rest-breaks" and breaks is not None and breaks.every_s is not None:
        return True
    if name == "transcript":
        without = promise_of(script, arrangement)
        shown = promise_of(script, replace(arrangement, captions=arrangement.transcript))
        return _readable(shown) != _readable(without)
    without = promise_of(script, _without(arrangement, name))
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
    return replace(arrangement, loudness=None)


def _parts_something(promise: Promise) -> bool:
    """Say whether a pause is promised at a mark where none so long is now."""
    pauses = promise.arrangement.pauses
    if pauses is None:
        return False
    usual_s = promise.script.settings.sentence_pause_s
    wanted = {"clause": pauses.clause_s is not None}
    wanted["sentence"] = pauses.sentence_s is not None and pauses.sentence_s != usual_s
    return any(
        wanted[mark.kind] and not mark.excuse
        for event in promise.events
        if isinstance(event, Said) and event.role in {"question", "passage", "dictation"}
        for mark in event.marks
    )


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
