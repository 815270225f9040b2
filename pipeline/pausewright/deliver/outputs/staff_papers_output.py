"""The papers for staff that follow the track in time, and the instructions in writing."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.captions.shown_rows import shows_words
from pausewright.captions.transcript_page import instructions_of
from pausewright.captions.word_times import WordTime, shown_times
from pausewright.deliver.instruction_rows import instruction_parts
from pausewright.deliver.outputs.job import Output, written_paper
from pausewright.deliver.outputs.transcripts_output import as_transcribed
from pausewright.deliver.staff_paper import StaffPaper
from pausewright.papers.answer_sheet import look_of
from pausewright.papers.timed import interpreter_copy, pausing_sheet, reading_copy, running_sheet
from pausewright.papers.timed.day_time import read_day_time
from pausewright.papers.typeset.paper_frame import Look
from pausewright.plan.steps import steps
from pausewright.records.record_files import record_text
from pausewright.screen.where_table import where_table
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.deliver.element_sounds import ElementSounds
    from pausewright.deliver.outputs.job import FileKind, Job
    from pausewright.papers.timed.day_time import DayTime
    from pausewright.plan.timeline import Say
    from pausewright.records.shapes import RunningTimes
    from pausewright.script.model import Script

TIMES: Final = "running-times"
"""What the name of the file begins with that running sheets of another day are made from."""
_SMALL, _MIDDLE, _LARGE, _LARGER = Look(10), Look(10.5), Look(13), Look(14)


def write(job: Job) -> Output:
    """Write all that this version has; what holds words of the test for its owner alone."""
    files = []
    for kind, paper in _papers(job):
        name = kind.removesuffix("-paper")
        file = job.staff / f"{name}_{job.label}_{job.edition}.pdf"
        compiled = paper.compiled(job.version.script, job.label, job.edition, job.signed)
        files.append(written_paper(file, kind, compiled, private=kind != "running-sheet"))
    kept = record_text(_times(job))
    files.append(job.confidential(f"{TIMES}_{job.label}.json", "running-times", kept))
    return Output(tuple(files))


def _times(job: Job) -> RunningTimes:
    return running_sheet.running_times(
        job.version.script,
        job.line,
        track=job.paths("track")[0].name,
        in_pieces=job.options.splits(job.version.arrangement),
        take_of=job.sounds.mark,
        where=where_table(job.version.script, job.line),
        sound_check=job.paths("sound-check")[0].name if job.paths("sound-check") else "",
    )


def _papers(job: Job) -> Iterator[tuple[FileKind, StaffPaper]]:
    version, line, script = job.version, job.line, job.version.script
    times = _times(job)
    start = read_day_time(job.options.start) if job.options.start else None
    yield "running-sheet", running_sheet_paper(times, script, start)
    texts = reading_copy.printed_texts(script, line)
    read = reading_copy.reader_copy_data(script, line, word_starts(job.sounds))
    yield (
        "reader-copy",
        StaffPaper(reading_copy.TEMPLATE, "Reader’s copy", read, _LARGE, texts=texts),
    )
    signed = interpreter_copy.interpreter_copy_data(script, line)
    yield (
        "interpreter-copy",
        StaffPaper(interpreter_copy.TEMPLATE, "Interpreter’s copy", signed, _MIDDLE, texts=texts),
    )
    if version.grant is not None and pausing_sheet.can_be_given_by_hand(version.arrangement):
        standard = job.sounds.line_of_steps(steps(job.project.worded))
        data = pausing_sheet.pausing_sheet_data(standard, version.steps, version.grant)
        yield (
            "pausing-sheet",
            StaffPaper(pausing_sheet.TEMPLATE, "Manual pausing sheet", data, _MIDDLE),
        )
    instructions = instructions_of(as_transcribed(job))
    if shows_words(instructions):
        parts = {"parts": instruction_parts(instructions, job.settings.language)}
        language = job.settings.language
        look = _handed_out(version.arrangement)
        yield (
            "instructions-paper",
            StaffPaper("instructions", "Instructions in writing", parts, look, language, texts),
        )


def _handed_out(arrangement: Arrangement) -> Look:
    """Return how instructions for candidates look: like their answer sheet, and never small."""
    look = look_of(arrangement)
    return replace(look, size_pt=max(look.size_pt, _LARGER.size_pt))


def running_sheet_paper(
    times: RunningTimes, script: Script, start: DayTime | None = None, room: str = ""
) -> StaffPaper:
    """Return the running sheet of a track, with times of day if `start` is given.

    Parameters
    ----------
    times : of the delivered track
    script : where its notes come from, for signs that no font has
    start : when the track starts
    room : where it is played
    """
    return StaffPaper(
        running_sheet.TEMPLATE,
        "Running sheet",
        running_sheet.running_sheet_data(times, start, room),
        _SMALL,
        texts=tuple((note.text, note.place) for note in running_sheet.notes_of(script)),
    )


def word_starts(sounds: ElementSounds) -> Callable[[Say], Sequence[int]]:
    """Return what tells when each word of a sound begins, in samples from where it is heard.

    Measured where the voice tells its words; otherwise the words share the sound by their letters.
    """

    def starts(say: Say) -> Sequence[int]:
        spoken: Sequence[WordTime] = ()
        if isinstance(say.element, Utterance):
            spoken = [WordTime(*word) for word in sounds.studio.word_times(say.element)]
        words = reading_copy.spoken_words(say).split()
        length = sounds.n_sound_samples(say.element)
        return [start for start, _ in shown_times(words, spoken, length)]

    return starts
