"""A script that is one given recording: all that is heard is bound to stretches of one file."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.frozen import frozen
from pausewright.script.declared import Given
from pausewright.script.inlines import leaves
from pausewright.script.model import (
    Note,
    Passage,
    Pause,
    Prose,
    Question,
    Sound,
    SubQuestion,
    Text,
)
from pausewright.script.settings.settings_table import AS_RECORDED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.problems import Place, Problems
    from pausewright.script.model import Block, Delivery, QuestionContent, Script


@frozen
class _Other:
    """Something that is heard and is no stretch of a recording."""

    place: Place


def bound_to_recording(script: Script, problems: Problems) -> Script:
    """Return a script with the recording that all that is heard in it is bound to, if there is one.

    All of it has `from` and `to` and names one file: with one word for a voice, a tone, a stop, an
    announcement or answers to choose it is no such script. Where it says no other loudness it is
    `as recorded`; adds a problem where that is asked for and something else is heard.
    """
    found = _found(script)
    settings = script.settings
    if isinstance(found, Given):
        loudness = settings.loudness if "loudness" in settings.places else AS_RECORDED
        return replace(script, settings=replace(settings, given=found, loudness=loudness))
    if settings.loudness == AS_RECORDED:
        place = settings.places.get("loudness")
        where = f" (line {found.place.line})" if isinstance(found, _Other) else ""
        if place is not None:
            problems.error(
                place,
                "‘as recorded’ is the loudness of a script that is one recording, and this one is "
                f"not{where}",
                "bind all that is heard to one file with from and to, or choose another loudness",
                code="not-one-recording",
            )
    return script


def refuse_without_rights(script: Script, place: Place, problems: Problems) -> None:
    """Add a problem for an arrangement of a recording whose rights nobody has written down."""
    if script.settings.given is not None and not script.settings.recording_rights:
        problems.error(
            place,
            "this arrangement changes a recording, and the settings do not say who may use it",
            "recordings belong to someone: add recording-rights: … with what you know, for example "
            "who made it and who allowed this",
            code="recording-rights",
        )


def _found(script: Script) -> Given | _Other | None:
    given: Given | None = None
    for one in _heard(script):
        if isinstance(one, _Other):
            return one
        if one.from_s is None or one.to_s is None or (given and one.file != given.file):
            return _Other(one.place)
        given = given or Given(one.file, one.folder, one.place)
    return given


def _heard(script: Script) -> Iterator[Sound | _Other]:
    for part in script.parts:
        if part.answers:
            yield _Other(part.place)
        for group in part.groups:
            for block in group.blocks:
                yield from _of_block(block)


def _of_block(block: Block | QuestionContent) -> Iterator[Sound | _Other]:
    if isinstance(block, Note):
        return
    if isinstance(block, Prose):
        for node in leaves(block.inlines):
            if isinstance(node, Sound):
                yield node
            elif not isinstance(node, Pause) and not (
                isinstance(node, Text) and not node.text.strip()
            ):
                yield _Other(block.place)
    elif isinstance(block, Passage) and not block.order:
        yield from _announced(block.delivery, block.place)
        for prose in block.content:
            yield from _of_block(prose)
    elif isinstance(block, Question | SubQuestion):
        if isinstance(block, Question) and block.printed:
            return
        if isinstance(block, Question) and block.withdrawn:
            yield _Other(block.place)
        yield from _announced(block.delivery, block.place)
        if block.delivery.pattern.value is not None or block.delivery.time_cue.value is not None:
            yield _Other(block.place)
        for content in block.content:
            yield from _of_block(content)
    else:
        yield _Other(block.place)


def _announced(delivery: Delivery, place: Place) -> Iterator[_Other]:
    if delivery.announce.value is not None or delivery.again.value is not None:
        yield _Other(place)
