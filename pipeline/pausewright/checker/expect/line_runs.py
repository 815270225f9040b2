"""Lines and waits of a script as runs: what every construct of the language is made of.

The rules of silence are worked out here, in `contents` and in `expect` once more, apart from the
builder.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Protocol

from pausewright.checker.expect.expected import ExpectedSound
from pausewright.checker.expect.runs import Belongs, Run, ask, joined
from pausewright.problems import PausewrightError
from pausewright.script.declared import ToneSpec
from pausewright.script.model import ByHand
from pausewright.wording.line_elements import AuthorPause, Excerpt, ToneCue

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.problems import Place
    from pausewright.script.declared import CaptionPolicy, Settings
    from pausewright.script.model import (
        Again,
        AnswerTime,
        Dictation,
        InForce,
        Option,
        Passage,
        Prose,
        Question,
        Script,
        SubQuestion,
    )
    from pausewright.wording.line_elements import Line

CONTINUATION_TONE: Final = ToneSpec(frequency_hz=Fraction(520), tone_s=Fraction(2, 5))
HOLD_BY_HAND_S: Final = Fraction(20)
CUE_OVER_S: Final = Fraction(30)
"""Answer times up to this have no time cue."""


class ExpectationError(PausewrightError):
    """The script holds something that this version of the check cannot work out."""


def cannot(place: Place, what: str) -> ExpectationError:
    """Return the error for a construct that the check does not know; names its line."""
    return ExpectationError(
        f"{place.file.name}:{place.line}: the check cannot work out this {what} yet",
        "check a script without it, or update Pausewright",
    )


class WordedScript(Protocol):
    """The script with its words, as the wording gives them."""

    @property
    def script(self) -> Script:
        """The parsed script."""

    def line(self, prose: Prose) -> Line:
        """Return the elements of a paragraph, turn, cue or phrase."""

    def option(self, option: Option) -> Line:
        """Return the elements of an answer to choose, its letter first."""

    def announcement(self, of: Question | Passage, reading: int) -> Line:
        """Return what is said before a reading (from 1); empty if nothing."""

    def sub_announcement(self, question: Question, sub: SubQuestion, reading: int) -> Line:
        """Return what is said before a reading of a sub-question; empty if nothing."""

    def pattern(self, question: Question) -> Line:
        """Return a question's whole pattern, with its pauses."""

    def again_line(self, again: Again, question: Question) -> Line:
        """Return the pattern by which a question is said again; empty if there is none."""

    def dictation_whole(self, dictation: Dictation) -> tuple[Line, ...]:
        """Return a line for each paragraph of a dictation."""

    def withdrawn(self, question: Question) -> Line:
        """Return what is said for a withdrawn question."""

    def answer(self, question: Question) -> Line:
        """Return a question's number and answer, for answers read aloud."""

    def time_cue(self) -> Line:
        """Return what is said when half of an answer time is gone."""

    def continues(self) -> Line:
        """Return the line after a stop."""


def shows_instructions(policy: CaptionPolicy) -> bool:
    """Return whether instructions may stand in captions."""
    return policy != "nothing"


class Lines:
    """Lines, paragraphs and waits of one script."""

    def __init__(self, worded: WordedScript) -> None:
        """Keep the script with its words."""
        self.worded: Final = worded
        self.settings: Final[Settings] = worded.script.settings

    def line(self, line: Line, belongs: Belongs, speaker: str = "") -> Run:
        """Rule 2: elements in order, `sentence-pause` between two sounds that no pause parts."""
        runs: list[Run] = []
        for one in line:
            element = one.of_reading(belongs.reading) if isinstance(one, Excerpt) else one
            if isinstance(element, AuthorPause):
                runs.append(ask(belongs.silence("pause", element.pause_s, element.place)))
                continue
            recorded = (element.sound.speaker or "") if isinstance(element, Excerpt) else ""
            sound = ExpectedSound(
                element,
                belongs.role,
                belongs.may_be_shown,
                belongs.block,
                belongs.question,
                belongs.reading,
                speaker or recorded,
            )
            run = Run((sound,))
            if runs and runs[-1].sounds:
                gap = belongs.silence("sentence-pause", self.settings.sentence_pause_s)
                run = replace(run, before=gap)
            if isinstance(element, Excerpt):
                pause_s = element.sound.pause_after_s
                run = replace(run, after=belongs.silence("pause", pause_s, element.place))
            runs.append(run)
        return joined(runs)

    def prose(self, prose: Prose, belongs: Belongs, line: Line | None = None) -> Run:
        """Return a paragraph with the silence that it declares itself, if any.

        `line` is given where its words are not the paragraph's own alone (options).
        """
        elements = self.worded.line(prose) if line is None else line
        run = self.line(elements, belongs, prose.speaker or "")
        if prose.look_time_s is not None:
            run = run.then(ask(belongs.silence("look-time", prose.look_time_s.value, prose.place)))
        if prose.pause_after_s is not None:
            run = run.then(ask(belongs.silence("pause", prose.pause_after_s.value, prose.place)))
        return run.then(self.answer(prose.answer_time, belongs, prose.place))

    def paragraphs(self, paragraphs: Iterable[Prose], belongs: Belongs) -> Run:
        """Return the paragraphs of a cue or lead-in, `paragraph-pause` apart."""
        runs: list[Run] = []
        for prose in paragraphs:
            if runs:
                runs.append(self.default(belongs))
            shown = shows_instructions(prose.captions)
            runs.append(self.prose(prose, replace(belongs, may_be_shown=shown)))
        return joined(runs)

    def default(self, belongs: Belongs) -> Run:
        """Return a demand for the default pause after a paragraph."""
        return ask(belongs.silence("paragraph-pause", self.settings.paragraph_pause_s))

    # ---- waits ------------------------------------------------------------------------------

    def answer(
        self,
        declared: InForce[AnswerTime] | None,
        belongs: Belongs,
        place: Place,
        *,
        is_of_row: bool = False,
        is_cued: bool = False,
    ) -> Run:
        """Return an answer time as declared: silence, nothing, or a wait that is ended by hand.

        `is_of_row` tells that it is what its question's row of the report shows. With a time cue,
        `is_cued`, more than 30 s are two halves with the time cue between them.
        """
        if declared is None or declared.value is None:
            return Run()
        if isinstance(declared.value, ByHand):
            return self.wait_by_hand(belongs, declared.place or place, is_of_row=is_of_row)
        wait_s, at = declared.value, declared.place or place
        if not is_cued or wait_s <= CUE_OVER_S:
            silence = belongs.silence("answer-time", wait_s, at)
            return ask(silence and replace(silence, is_answer_of_row=is_of_row))
        silence = belongs.silence("answer-time", wait_s / 2, at)
        half = ask(silence and replace(silence, is_answer_of_row=is_of_row))
        is_shown = shows_instructions(self.settings.captions)
        cue = replace(belongs, role="cue", may_be_shown=is_shown, reading=0)
        return joined([half, self.line(self.worded.time_cue(), cue), half])

    def wait_by_hand(self, belongs: Belongs, place: Place, *, is_of_row: bool = False) -> Run:
        """Rule 6: a stop without a cue: hold, continuation tone, "the recording continues"."""
        hold = belongs.silence("hold", HOLD_BY_HAND_S, place)
        held = ask(hold and replace(hold, is_answer_of_row=is_of_row))
        return held.then(self.continuation(belongs, place))

    def continuation(self, belongs: Belongs, place: Place) -> Run:
        """Return what ends a stop: tone, pause, "the recording continues", pause."""
        tone = ToneCue("continuation", CONTINUATION_TONE, place)
        beeps = replace(belongs, role="cue", may_be_shown=False, reading=0)
        shown = shows_instructions(self.settings.captions)
        goes_on = replace(beeps, role="continues", may_be_shown=shown)
        return joined(
            [
                self.line((tone,), beeps),
                self.default(beeps),
                self.line(self.worded.continues(), goes_on),
                self.default(goes_on),
            ]
        )
