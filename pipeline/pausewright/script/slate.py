"""The slate: what is said at the head of a track before anything of the test, and its stop.

The setting `slate` words it. It stands as a stop in a part of its own before all others, so that
what plans, checks and shows a script needs no rule of its own for it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.script.inline_model import SlateLabel, Span, Text
from pausewright.script.model import Group, InForce, Part, Prose, Script, Speech, Stop

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from pausewright.problems import Place
    from pausewright.script.inline_model import Inline

FIELDS: Final = ("title", "edition", "version")
"""All must stand in it: the room compares them with its papers."""
HOLD_S: Final = Fraction(20)
_SENTENCE_END: Final = re.compile(r"(?<=[.!?])\s+")
"""Each sentence is a paragraph: "version A." ends one, and is no initial of a name."""
_FIELD: Final = re.compile(r"\{(\w+)\}")


def with_slate(script: Script, edition: str, label: str) -> Script:
    """Return a script with the slate that its settings word, if they do.

    Parameters
    ----------
    script : as read
    edition : of the script as read; the slate itself does not count
    label : of the version, as the room sees it; nothing else of a version is ever said
    """
    settings = script.settings
    if not settings.slate:
        return script
    place = settings.places["slate"]
    speech = Speech(settings.voice, settings.language, Fraction(1), 1)
    cue = tuple(
        Prose(
            tuple(_inlines(words, settings.title, edition, label, place)),
            speech,
            settings.captions,
            place,
        )
        for words in _SENTENCE_END.split(settings.slate)
    )
    hold_s = InForce(HOLD_S, place, "slate")
    stop = Stop(cue, hold_s, rest=False, place=place, is_slate=True)
    return replace(script, parts=(Part("", (Group("", (stop,), place),), place), *script.parts))


def relabelled(script: Script, label: str) -> Script:
    """Return a script whose slate names the version `label`; itself if it has none."""
    first = script.parts[0] if script.parts else None
    if first is None or not is_slate(first):
        return script
    (group,) = first.groups
    (stop,) = (block for block in group.blocks if isinstance(block, Stop))
    cue = tuple(replace(p, inlines=with_label(p.inlines, label)) for p in stop.cue)
    part = replace(first, groups=(replace(group, blocks=(replace(stop, cue=cue),)),))
    return replace(script, parts=(part, *script.parts[1:]))


def is_slate(part: Part) -> bool:
    """Say whether a part is the slate."""
    return any(isinstance(b, Stop) and b.is_slate for group in part.groups for b in group.blocks)


def with_label(inlines: tuple[Inline, ...], label: str) -> tuple[Inline, ...]:
    """Return inlines with another label of a version."""
    return tuple(
        replace(one, text=label)
        if isinstance(one, SlateLabel)
        else replace(one, children=with_label(one.children, label))
        if isinstance(one, Span)
        else one
        for one in inlines
    )


def _inlines(words: str, title: str, edition: str, label: str, place: Place) -> Iterator[Inline]:
    """Give the words with their fields filled: edition and label are spelt."""
    spelt: dict[str, Callable[[], Text]] = {
        "edition": lambda: Text(edition, place),
        "version": lambda: SlateLabel(label, place),
    }
    at = 0
    for found in _FIELD.finditer(words):
        if found.start() > at:
            yield Text(words[at : found.start()], place)
        name = found[1]
        if name in spelt:
            yield Span((spelt[name](),), place, spell=True)
        else:
            yield Text(title, place)
        at = found.end()
    if at < len(words):
        yield Text(words[at:], place)
