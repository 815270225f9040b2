"""What the desk says of tests, jobs and files, in the words of those who use it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.records.shapes import NOT_HEARD

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.desk.jobs import Job
    from pausewright.desk.messages import Looked, Version

STATES: Final[Mapping[str, str]] = {
    "new": "not made yet",
    "changed": "the words were changed since it was made",
    "other": "made with other choices or settings, or by another release of this program",
    "spoiled": "a file is no longer the one that was made",
    "made": "made and checked",
}
"""States of a version."""
PLACES: Final[Mapping[str, str]] = {
    "player": "For the player in the room",
    "candidates": "For candidates",
    "staff": "For staff in the room",
    "reader": "For the person who reads aloud",
    "office": "Stays in the office",
}
"""To whom files go, in this order."""
KINDS: Final[Mapping[str, str]] = {
    "track": "track",
    "piece": "piece of the track",
    "captions": "captions",
    "video": "video",
    "transcript": "transcript",
    "room-screen": "room screen",
    "answer-sheet": "answer sheet",
    "answer-sheet-text": "answer sheet as text",
    "mark-scheme": "mark scheme, confidential",
    "running-sheet": "running sheet",
    "running-sheet-text": "running sheet as text",
    "instructions": "instructions as text",
    "instructions-paper": "instructions in writing",
    "reader-screen": "reader's screen, confidential",
    "reader-copy": "reader's copy, confidential",
    "interpreter-copy": "interpreter's copy, confidential",
    "pausing-sheet": "pausing sheet",
    "measured": "what was measured",
    "running-times": "times for running sheets",
    "full-transcript": "whole transcript, confidential",
    "basis": "basis of the arrangement, confidential",
    "report": "report of the check",
    "packing-list": "packing list",
    "record": "build record",
}
"""What files are."""
STAGES: Final[Mapping[str, str]] = {
    "voicing": "Voicing",
    "writing": "Writing the sound",
    "filming": "Making the video",
    "checking": "Checking",
    "versions": "Versions made and checked",
    "hearing": "Having it heard",
    "listening": "Listening for words",
    "fetching": "Fetching",
    "reading": "Tests read",
    "tasks": "Steps of the work",
}
HEADINGS: Final[Mapping[str, tuple[str, str]]] = {
    "make": ("Being made", "Made"),
    "check": ("Being checked", "Checked"),
    "papers": ("Papers are being written", "Papers"),
    "compare": ("Versions are being compared", "Versions side by side"),
    "hear": ("Being voiced", "Listen"),
    "sign": ("Being signed", "Signed"),
    "excerpt": ("The part is being written", "A part to be heard again"),
    "differs": ("Being compared", "What changed"),
    "rooms": ("Rooms are being laid out", "Rooms"),
    "stick": ("The stick is being written and read back", "The stick"),
    "read": ("The stick is being read", "The stick"),
    "pack": ("Being packed", "Packed"),
    "run": ("At work", "Done"),
}
"""Of a job: while it runs, and then."""


def counted(n: int, word: str) -> str:
    """Return a number with its noun: "1 question", "12 questions"."""
    return f"{n} {word}" if n == 1 else f"{n} {word}s"


def minutes(length_s: float) -> str:
    """Return a length in minutes and whole seconds, as the command line gives it."""
    seconds = int(length_s)
    return f"{seconds // 60} min {seconds % 60} s"


def state_of(looked: Looked | None) -> tuple[str, str, str]:
    """Return the state of a test as a sentence, the page that comes next, and its words."""
    if looked is None:
        return "It is still being read.", "words", ""
    if looked.n_errors:
        n = looked.n_errors + looked.n_left_out
        verb = "keeps" if n == 1 else "keep"
        return f"{counted(n, 'problem')} {verb} it from being made.", "words", "See what is wrong"
    holds = f"{counted(looked.n_questions, 'question')}, {counted(len(looked.versions), 'version')}"
    by_state: dict[str, list[str]] = {}
    for one in looked.versions:
        by_state.setdefault(one.state, []).append(one.label)
    if set(by_state) == {"new"}:
        return f"{holds}. Not made yet.", "make", "Make it"
    if set(by_state) == {"made"}:
        return _made(holds, looked.versions)
    parts = [f"{STATES[state]}: {', '.join(labels)}" for state, labels in by_state.items()]
    said = "; ".join(parts)
    return f"{holds}. {said[0].upper()}{said[1:]}.", "make", "Make it again"


def _made(holds: str, versions: tuple[Version, ...]) -> tuple[str, str, str]:
    """Return what `state_of` returns for a test that is made and current."""
    open_ones = [one for one in versions if not one.is_signed]
    if not open_ones:
        return f"{holds}. Made, checked and signed.", "rooms", "Rooms and sticks"
    heard = dict.fromkeys(one.heard or NOT_HEARD for one in open_ones)
    if len(heard) == 1:
        said = next(iter(heard))
    else:
        said = "; ".join(f"version {one.label}, {one.heard or NOT_HEARD}" for one in open_ones)
    return (
        f"{holds}. Made and checked; {said[:1].lower()}{said[1:]}.",
        "listen",
        "Listen and sign",
    )


def progress_of(job: Job) -> tuple[str, int | None, str]:
    """Return what a job is at, how much of that is done in per cent, and how long it takes yet."""
    step = job.step
    if step is None or step.n_all < 1:
        return "It begins", None, ""
    share = min(100, step.n_done * 100 // step.n_all)
    name = STAGES.get(step.stage, step.stage.capitalize())
    how_far = f"{share} per cent" if step.stage == "checking" else f"{step.n_done} of {step.n_all}"
    left_s = job.left_s
    left = ""
    if left_s is not None:
        about = (
            f"{round(left_s / 60)} min" if left_s >= 90 else f"{max(5, round(left_s, -1)):.0f} s"
        )
        left = f"about {about} more for this step"
    return f"{name}: {how_far}", share, left
