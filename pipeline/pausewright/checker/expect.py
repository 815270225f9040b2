"""What a track of a script must sound like: sounds and silences in order, from the script alone.

The rules of silence are worked out here once more, apart from the builder: every piece of a
script becomes a `_Run` (sounds with the silences between them, and what it asks for before and
after itself), and runs are joined pair by pair, the stronger of two demands winning. Nothing
here knows samples or positions.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import reduce
from typing import TYPE_CHECKING, Literal, Protocol, TypeAlias

from pausewright.problems import PausewrightError
from pausewright.script.model import (
    Note,
    Options,
    PageTurn,
    Passage,
    Prose,
    Question,
    Stop,
    ToneSpec,
)
from pausewright.wording.pieces import AuthorPause, Excerpt, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.problems import Place
    from pausewright.script.model import (
        AnswerTime,
        Block,
        CaptionPolicy,
        InForce,
        Option,
        QuestionContent,
        Script,
        Settings,
    )
    from pausewright.wording.pieces import Line

Role: TypeAlias = Literal["instruction", "announcement", "question", "passage", "cue", "continues"]
Kind: TypeAlias = Literal[
    "lead-in",
    "sentence-pause",
    "paragraph-pause",
    "announcement-pause",
    "between-paragraphs",
    "between-options",
    "turn-pause",
    "pause",
    "look-time",
    "between-readings",
    "answer-time",
    "page-turn-time",
    "hold",
    "run-out",
]

LEAD_IN_S = Fraction(1, 2)
RUN_OUT_S = Fraction(1)
PROMISED_FROM_S = Fraction(7, 10)
"""Shorter silences are laid exactly, but too near to those of speech itself to be promised."""
CONTINUATION_TONE = ToneSpec(frequency_hz=Fraction(520), tone_s=Fraction(2, 5))

_STRENGTH: dict[str, int] = {
    "sentence-pause": 0,
    "paragraph-pause": 0,
    "announcement-pause": 0,
    "between-paragraphs": 1,
    "between-options": 1,
    "turn-pause": 1,
    "pause": 2,
    "look-time": 3,
    "between-readings": 3,
    "answer-time": 3,
    "page-turn-time": 3,
    "hold": 3,
}


class ExpectationError(PausewrightError):
    """The script holds something that this version of the check cannot work out."""


class WordedScript(Protocol):
    """The script with its words, as the wording gives them."""

    @property
    def script(self) -> Script:
        """The parsed script."""

    def line(self, prose: Prose) -> Line:
        """Return the pieces of a paragraph, turn or cue."""

    def option(self, option: Option) -> Line:
        """Return the pieces of an answer to choose, its letter first."""

    def announcement(self, of: Question | Passage, reading: int) -> Line:
        """Return what is said before a reading (from 1); empty if nothing."""

    def pattern(self, question: Question) -> Line:
        """Return a question's whole pattern, with its pauses."""

    def continues(self) -> Line:
        """Return the line after a stop."""


@dataclass(frozen=True, slots=True)
class ExpectedSound:
    """A sound that the track must have."""

    piece: Utterance | ToneCue | Excerpt
    role: Role
    may_be_shown: bool
    """Whether its words may stand in captions for candidates."""
    block: int
    """Which block of the script it belongs to, counted from 0."""
    question: str = ""
    """Label of the question, or "passage 1"; empty for what belongs to neither."""
    reading: int = 0
    """Which reading, from 1; 0 outside readings."""
    speaker: str = ""

    @property
    def place(self) -> Place:
        """Where it stands in the script."""
        return self.piece.place


@dataclass(frozen=True, slots=True)
class ExpectedSilence:
    """A silence that the track must have."""

    kind: Kind
    wait_s: Fraction
    place: Place | None = None
    question: str = ""
    reading: int = 0

    @property
    def is_promised(self) -> bool:
        """Whether its length on the file is promised, and so judged."""
        return self.wait_s >= PROMISED_FROM_S and self.kind != "run-out"


@dataclass(frozen=True, slots=True)
class Row:
    """One question or passage, as the report lists it."""

    block: int
    label: str
    place: Place
    readings: int
    answer_time_s: Fraction | None
    """None where no answer time is declared."""


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a track must sound like: `silences[i]` lies before `sounds[i]`, the last one at the end.

    So there is one more silence than sounds.
    """

    sounds: tuple[ExpectedSound, ...]
    silences: tuple[ExpectedSilence, ...]
    rows: tuple[Row, ...]

    def totals(self) -> dict[str, tuple[int, Fraction]]:
        """Return for each kind of silence how many there are and their sum in seconds."""
        found: dict[str, tuple[int, Fraction]] = {}
        for silence in self.silences:
            n, total_s = found.get(silence.kind, (0, Fraction(0)))
            found[silence.kind] = (n + 1, total_s + silence.wait_s)
        return found


def expect(worded: WordedScript) -> Expectation:
    """Return what a track of the standard arrangement of `worded.script` must sound like.

    Raises
    ------
    ExpectationError
        If the script uses a construct that cannot be checked yet; names its line.
    """
    return _Reader(worded).expectation()


@dataclass(frozen=True, slots=True)
class _Run:
    """Sounds with the silences between them, and what is asked for at both ends."""

    sounds: tuple[ExpectedSound, ...] = ()
    silences: tuple[ExpectedSilence, ...] = ()
    """One fewer than sounds."""
    before: ExpectedSilence | None = None
    after: ExpectedSilence | None = None

    def then(self, other: _Run) -> _Run:
        """Return this run followed by another."""
        met = _stronger(self.after, other.before)
        if not self.sounds:
            return replace(other, before=_stronger(self.before, met))
        if not other.sounds:
            return replace(self, after=_stronger(met, other.after))
        between = met or ExpectedSilence("sentence-pause", Fraction(0))
        return _Run(
            self.sounds + other.sounds,
            (*self.silences, between, *other.silences),
            self.before,
            other.after,
        )


def _stronger(one: ExpectedSilence | None, other: ExpectedSilence | None) -> ExpectedSilence | None:
    """Return the silence that stays when two meet: declared before default, then the longer."""
    if one is None or other is None:
        return one or other
    mine, theirs = _STRENGTH[one.kind], _STRENGTH[other.kind]
    if mine != theirs:
        return one if mine > theirs else other
    return one if one.wait_s >= other.wait_s else other


def _ask(silence: ExpectedSilence | None) -> _Run:
    """Return a run without sound that asks for a silence."""
    return _Run(before=silence)


def _joined(runs: Iterable[_Run]) -> _Run:
    """Return runs in order as one; built as a balanced tree so that long scripts stay quick."""
    level = list(runs)
    while len(level) > 1:
        level = [reduce(_Run.then, level[i : i + 2]) for i in range(0, len(level), 2)]
    return level[0] if level else _Run()


@dataclass(frozen=True, slots=True)
class _Belongs:
    """What the sounds and silences of one line belong to."""

    role: Role
    may_be_shown: bool
    block: int
    question: str = ""
    reading: int = 0

    def silence(
        self, kind: Kind, wait_s: Fraction | None, place: Place | None = None
    ) -> ExpectedSilence | None:
        """Return a silence here; None if there is no length."""
        if wait_s is None:
            return None
        return ExpectedSilence(kind, wait_s, place, self.question, self.reading)


class _Reader:
    """Walks one script."""

    def __init__(self, worded: WordedScript) -> None:
        self._worded = worded
        self._settings: Settings = worded.script.settings
        self._rows: list[Row] = []
        self._n_passages = 0

    def expectation(self) -> Expectation:
        blocks = [block for _, _, block in self._worded.script.blocks()]
        whole = _joined(self._block(block, at) for at, block in enumerate(blocks))
        lead_in = ExpectedSilence("lead-in", LEAD_IN_S)
        if whole.before is not None and _STRENGTH[whole.before.kind] > 0:
            lead_in = replace(whole.before, wait_s=LEAD_IN_S + whole.before.wait_s)
        run_out = ExpectedSilence("run-out", RUN_OUT_S)
        silences = (lead_in, *whole.silences, run_out) if whole.sounds else (run_out,)
        return Expectation(whole.sounds, silences, tuple(self._rows))

    def _block(self, block: Block, at: int) -> _Run:
        if isinstance(block, Prose):
            return self._margin(block, at)
        if isinstance(block, Question):
            return self._question(block, at)
        if isinstance(block, Passage):
            return self._passage(block, at)
        if isinstance(block, Stop):
            return self._stop(block, at)
        if isinstance(block, PageTurn):
            return self._page_turn(block, at)
        if isinstance(block, Note):
            return _Run()
        raise _cannot(block.place, type(block).__name__.lower())

    # ---- lines ------------------------------------------------------------------------------

    def _line(self, line: Line, belongs: _Belongs, speaker: str = "") -> _Run:
        """R1: pieces in order, `sentence-pause` between two sounds that no pause parts."""
        runs: list[_Run] = []
        for piece in line:
            if isinstance(piece, AuthorPause):
                runs.append(_ask(belongs.silence("pause", piece.pause_s, piece.place)))
                continue
            sound = ExpectedSound(
                piece,
                belongs.role,
                belongs.may_be_shown,
                belongs.block,
                belongs.question,
                belongs.reading,
                speaker,
            )
            run = _Run((sound,))
            if runs and runs[-1].sounds:
                gap = belongs.silence("sentence-pause", self._settings.sentence_pause_s)
                run = replace(run, before=gap)
            if isinstance(piece, Excerpt):
                pause_s = piece.sound.pause_after_s
                run = replace(run, after=belongs.silence("pause", pause_s, piece.place))
            runs.append(run)
        return _joined(runs)

    def _prose(self, prose: Prose, belongs: _Belongs, line: Line | None = None) -> _Run:
        """Return a paragraph with the silence that it declares itself, if any.

        `line` is given where its words are not the paragraph's own alone (options).
        """
        pieces = self._worded.line(prose) if line is None else line
        run = self._line(pieces, belongs, prose.speaker or "")
        if prose.look_time_s is not None:
            run = run.then(_ask(belongs.silence("look-time", prose.look_time_s.value, prose.place)))
        if prose.pause_after_s is not None:
            run = run.then(_ask(belongs.silence("pause", prose.pause_after_s.value, prose.place)))
        return run.then(_ask(self._answer(prose.answer_time, belongs, prose.place)))

    def _answer(
        self, declared: InForce[AnswerTime] | None, belongs: _Belongs, place: Place
    ) -> ExpectedSilence | None:
        if declared is None or declared.value is None:
            return None
        if not isinstance(declared.value, Fraction):
            raise _cannot(place, "answer time given by hand")
        return belongs.silence("answer-time", declared.value, declared.place or place)

    def _default(self, belongs: _Belongs) -> _Run:
        return _ask(belongs.silence("paragraph-pause", self._settings.paragraph_pause_s))

    def _shows_instructions(self, policy: CaptionPolicy) -> bool:
        return policy != "nothing"

    # ---- blocks -----------------------------------------------------------------------------

    def _margin(self, prose: Prose, at: int) -> _Run:
        """R2: the line, then what it declares, else the default pause."""
        belongs = _Belongs("instruction", self._shows_instructions(prose.captions), at)
        return self._prose(prose, belongs).then(self._default(belongs))

    def _question(self, question: Question, at: int) -> _Run:
        """R3: readings with their announcements, or the pattern once; then the answer time."""
        if question.printed:
            return _Run()
        delivery = question.delivery
        if question.withdrawn:
            raise _cannot(question.place, "withdrawn question")
        if delivery.time_cue.value is not None:
            raise _cannot(question.place, "time cue")
        n_readings = 1 if delivery.pattern.value is not None else delivery.readings.value
        shown = delivery.captions == "everything"
        first = _Belongs("question", shown, at, question.label, 1)
        runs: list[_Run] = []
        if delivery.pattern.value is not None:
            runs.append(self._line(self._worded.pattern(question), first))
        else:
            for reading in range(1, n_readings + 1):
                belongs = replace(first, reading=reading)
                runs.append(self._announcement(question, belongs))
                runs.append(self._content(question.content, question, belongs))
                if reading < n_readings:
                    runs.append(self._between(question, belongs))
        last = replace(first, reading=n_readings)
        answer = self._answer(delivery.answer_time, last, question.place)
        answer_s = answer.wait_s if answer else None
        self._rows.append(Row(at, question.label, question.place, n_readings, answer_s))
        return _joined([*runs, _ask(answer), self._default(last)])

    def _announcement(self, of: Question | Passage, belongs: _Belongs) -> _Run:
        line = self._worded.announcement(of, belongs.reading)
        told = replace(
            belongs,
            role="announcement",
            may_be_shown=self._shows_instructions(of.delivery.captions),
        )
        run = self._line(line, told)
        if not run.sounds:
            return run
        gap = told.silence("announcement-pause", self._settings.announcement_pause_s)
        return run.then(_ask(gap))

    def _between(self, of: Question | Passage, belongs: _Belongs) -> _Run:
        wait_s = of.delivery.between_s(belongs.reading)
        place = of.delivery.between_readings_s.place or of.place
        return _ask(belongs.silence("between-readings", wait_s, place))

    def _content(
        self, content: Iterable[QuestionContent], of: Question | Passage, belongs: _Belongs
    ) -> _Run:
        """Return one reading of a content: its paragraphs, turns and options, apart as declared."""
        delivery = of.delivery
        runs: list[_Run] = []
        earlier: Prose | None = None
        for item in content:
            if isinstance(item, Options):
                for option in item.options:
                    gap = belongs.silence("between-options", delivery.between_options_s.value)
                    line = self._worded.option(option)
                    runs += [_ask(gap), self._prose(option.prose, belongs, line)]
                earlier = None
                continue
            if not isinstance(item, Prose):
                raise _cannot(item.place, f"{type(item).__name__.lower()} in a question")
            if runs:
                are_turns = earlier is not None and earlier.speaker and item.speaker
                gap = (
                    belongs.silence("turn-pause", delivery.turn_pause_s.value)
                    if are_turns and isinstance(of, Passage)
                    else belongs.silence("between-paragraphs", delivery.between_paragraphs_s.value)
                )
                runs.append(_ask(gap))
            runs.append(self._prose(item, belongs))
            earlier = item
        return _joined(runs)

    def _passage(self, passage: Passage, at: int) -> _Run:
        """R4: as a question, with a look time before the first reading."""
        self._n_passages += 1
        label = f"passage {self._n_passages}"
        delivery = passage.delivery
        n_readings = delivery.readings.value
        first = _Belongs("passage", delivery.captions == "everything", at, label, 1)
        runs: list[_Run] = []
        for reading in range(1, n_readings + 1):
            belongs = replace(first, reading=reading)
            runs.append(self._announcement(passage, belongs))
            if reading == 1 and passage.look_time_s is not None:
                look_s = passage.look_time_s
                place = look_s.place or passage.place
                runs.append(_ask(belongs.silence("look-time", look_s.value, place)))
            runs.append(self._content(passage.content, passage, belongs))
            if reading < n_readings:
                runs.append(self._between(passage, belongs))
        last = replace(first, reading=n_readings)
        answer = self._answer(delivery.answer_time, last, passage.place)
        if passage.pause_after_s is not None:
            pause_s = passage.pause_after_s
            place = pause_s.place or passage.place
            runs.append(_ask(last.silence("pause", pause_s.value, place)))
        answer_s = answer.wait_s if answer else None
        self._rows.append(Row(at, label, passage.place, n_readings, answer_s))
        return _joined([*runs, _ask(answer), self._default(last)])

    def _cue(self, cue: Iterable[Prose], belongs: _Belongs) -> _Run:
        runs: list[_Run] = []
        for prose in cue:
            if runs:
                runs.append(self._default(belongs))
            shown = self._shows_instructions(prose.captions)
            runs.append(self._prose(prose, replace(belongs, may_be_shown=shown)))
        return _joined(runs)

    def _stop(self, stop: Stop, at: int) -> _Run:
        """R5: cue, hold, continuation tone, "the recording continues"."""
        belongs = _Belongs("cue", may_be_shown=True, block=at)
        hold = belongs.silence("hold", stop.hold_s.value, stop.place)
        tone = ToneCue("continuation", CONTINUATION_TONE, stop.place)
        shown = self._shows_instructions(self._settings.captions)
        goes_on = _Belongs("continues", shown, at)
        return _joined(
            [
                self._cue(stop.cue, belongs),
                _ask(hold),
                self._line((tone,), replace(belongs, may_be_shown=False)),
                self._default(belongs),
                self._line(self._worded.continues(), goes_on),
                self._default(goes_on),
            ]
        )

    def _page_turn(self, turn: PageTurn, at: int) -> _Run:
        """R6: cue, then the time to turn the page."""
        belongs = _Belongs("cue", may_be_shown=True, block=at)
        wait = belongs.silence("page-turn-time", turn.page_turn_time_s.value, turn.place)
        return self._cue(turn.cue, belongs).then(_ask(wait))


def _cannot(place: Place, what: str) -> ExpectationError:
    return ExpectationError(
        f"{place.file.name}:{place.line}: the check cannot work out this {what} yet",
        "check a script without it, or update Pausewright",
    )
