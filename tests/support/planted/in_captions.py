"""Faults in what candidates can read: captions, transcripts, room screen."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from pausewright.captions import cues as caption_cues
from pausewright.captions import shown_rows
from pausewright.deliver.outputs import captions_output, transcripts_output
from pausewright.plan.timeline import Say
from pausewright.screen import room_screen
from pausewright.wording.line_elements import Utterance

from support.planted.base import Fault, Plant, after, changed


def _cues(change: Any) -> Plant:
    """Return a fault in the captions of a track, wherever they are shown."""
    return changed(captions_output, "cues_of", after(lambda cues: tuple(change(cues))))


def _leaked(cues: Any) -> Any:
    """Show the answer to question 1 with the first caption."""
    return (replace(cues[0], lines=("ZEBRAFISH",)), *cues[1:])


def _moved(ms: int) -> Any:
    return lambda cues: (
        replace(cue, start_ms=max(0, cue.start_ms + ms), end_ms=max(1, cue.end_ms + ms))
        for cue in cues
    )


def _all_words(right: Any) -> Any:
    def shown(step: Any) -> str:
        is_voiced = isinstance(step.element, Utterance)
        return str(step.element.shown) if is_voiced else str(right(step))

    return shown


def _open_questions(right: Any) -> Any:
    """Mark questions as what may be read."""

    def transcribed(job: Any) -> Any:
        line = right(job)
        placed = tuple(
            replace(one, step=replace(one.step, captioned=True))
            if isinstance(one.step, Say)
            else one
            for one in line.placed
        )
        return replace(line, placed=placed)

    return transcribed


FAULTS: Final = (
    Fault("captions", "an answer in a caption", _cues(_leaked)),
    Fault("captions", "the first caption dropped", _cues(lambda cues: cues[1:])),
    Fault("captions", "every second caption dropped", _cues(lambda cues: cues[::2])),
    Fault("captions", "captions a second early", _cues(_moved(-1000))),
    Fault("captions", "captions two seconds late", _cues(_moved(2000))),
    Fault("captions", "captions doubled", _cues(
        lambda cues: (one for cue in cues for one in (cue, cue)))),
    Fault("captions", "captions of half their words", _cues(lambda cues: (
        replace(cue, lines=(" ".join(cue.lines[0].split()[: len(cue.lines[0].split()) // 2]),))
        if len(cue.lines[0].split()) > 3 else cue for cue in cues))),
    Fault("captions", "captions that stand in answer times", _cues(lambda cues: (
        replace(cue, end_ms=cue.end_ms + 1500) for cue in cues))),
    Fault("captions", "all words of questions in captions",
          changed(caption_cues, "shown_text", _all_words)),
    Fault("captions", "all words of questions in transcripts",
          changed(shown_rows, "shown_text", _all_words)),
    Fault("captions", "questions open in transcripts",
          changed(transcripts_output, "as_transcribed", _open_questions)),
    Fault("captions", "a declared transcript ignored", changed(
        transcripts_output, "as_transcribed", lambda _: lambda job: job.line), "transcript"),
    Fault("captions", "other captions in WebVTT than in SubRip", changed(
        captions_output, "webvtt", lambda right: lambda cues, **more: right(cues[1:], **more))),
    Fault("captions", "an answer on the room screen", changed(
        room_screen, "_data", after(lambda data: {**data, "cues": [
            [*data["cues"][0][:2], ["ZEBRAFISH"]], *data["cues"][1:]]}))),
    Fault("captions", "no captions at all", changed(
        captions_output, "cues_of", lambda _: lambda *_more: ())),
)  # fmt: skip
