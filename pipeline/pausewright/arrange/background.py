"""`background: off`, and what it cannot take out.

No construct of the language puts a sound under speech, so there is nothing to leave out; what lies
under the speech inside a recording is part of that recording and stays.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Collection

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.problems import Place, Problems
    from pausewright.wording.worded import Worded


def refuse_background(
    worded: Worded, arrangement: Arrangement, recorded_voices: Collection[str], problems: Problems
) -> None:
    """Refuse `background: off`, which changes nothing, and name each recording that is heard.

    `recorded_voices` are the names of voices that are a person's recordings.
    """
    if arrangement.background is None:
        return
    files: dict[str, list[Place]] = {}
    voices: dict[str, None] = {}
    for element in worded.all_elements():
        if isinstance(element, Excerpt):
            places = files.setdefault(element.sound.path, [])
            if element.place not in places:
                places.append(element.place)
        elif isinstance(element, Utterance) and element.speech.voice in recorded_voices:
            voices[element.speech.voice] = None
    names = [f"{path} ({_lines(places)})" for path, places in files.items()]
    names += [f"the recordings of the voice ‘{voice}’" for voice in voices]
    message = "no sound of a script lies under its speech, so ‘background: off’ changes nothing"
    hint = "leave it out"
    if names:
        message += f"; what was recorded together stays as it is: {', '.join(names)}"
        hint = "leave it out; where something lies under the speech, record it without that"
    problems.error(
        arrangement.place_of("background", worded.script.path),
        message,
        hint,
        code="arrangement-without-effect",
        also=tuple(p for places in files.values() for p in places),
    )


def _lines(places: list[Place]) -> str:
    numbers = ", ".join(str(place.line) for place in places)
    return f"line {numbers}" if len(places) == 1 else f"lines {numbers}"
