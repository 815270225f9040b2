"""What candidates can read against what they may read, word by word, by a rule of its own.

A word may be read where its place in the script may be shown: its paragraph by the policy in force,
and a bracket in it by its own. What only places that may not be shown hold, may stand nowhere.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.limits.promised import CAPTION_EARLY_MS
from pausewright.checker.papers.pdf_paper import ENDING, pdf_paper
from pausewright.checker.papers.picture_words import picture_words
from pausewright.checker.papers.sheet_pages import judged_pages
from pausewright.checker.promises.differences import Difference
from pausewright.checker.promises.events import Said
from pausewright.checker.promises.promise import promise_of
from pausewright.checker.promises.withheld import withheld
from pausewright.checker.promises.written import words
from pausewright.checker.result.items import name_of
from pausewright.checker.shown.captions_shown import speaker_of
from pausewright.checker.shown.other_texts import own_words_of_code, own_words_of_page
from pausewright.checker.shown.rows import bytes_of, rows_of
from pausewright.script.inlines import plain
from pausewright.script.model import Note, Options, Prose, Question, Span, Stop, SubQuestion
from pausewright.script.walk import inlines_of
from pausewright.wording.line_elements import Utterance
from pausewright.wording.paper_words import paper_words
from pausewright.wording.screen_words import screen_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

    from pausewright.arrange.arrangement import FieldName
    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.match.match import Matching
    from pausewright.checker.promises.found import Found
    from pausewright.checker.promises.promise import Promise
    from pausewright.checker.shown.caption_readers import CaptionFile, Cue
    from pausewright.checker.shown.other_texts import OtherText
    from pausewright.problems import Place
    from pausewright.script.model import QuestionContent, Script

_ON_SHEETS = "version edition name answer leave blank marks mark picture turn over practice"


@dataclass(slots=True)
class Readable:
    """Words that may be read, and words that may not, of one place of a script or of all."""

    open: set[str] = field(default_factory=set)
    withheld: set[str] = field(default_factory=set)

    def add(self, said: Iterable[Said]) -> None:
        """Take in what is written at a place."""
        for one in said:
            for part in one.shown:
                (self.open if part.is_visible else self.withheld).update(words(part.text))

    def leaked(self, text: str) -> set[str]:
        """Return the words of a text that stand only where nothing may be read."""
        return words(text) & self.withheld - self.open


@dataclass(slots=True)
class ShownCount:
    """What was compared, for the line of proof."""

    n_cues: int = 0
    n_files: int = 0
    n_owed: int = 0
    """Utterances that must have captions."""
    n_captioned: int = 0


class ShownAsPromised:
    """Compares captions, transcripts and answer sheets with what may be read."""

    def __init__(
        self,
        promise: Promise,
        found: Found,
        expectation: Expectation,
        matching: Matching,
        rate_hz: int,
    ) -> None:
        """Keep what is promised, and when each sound is heard."""
        self._promise = promise
        self._promised = promise.said()
        self._found = found
        self._sounds = expectation.sounds
        self._spans = [
            None if span is None else (1000 * span[0] // rate_hz, -(-1000 * span[1] // rate_hz))
            for span in matching.heard
        ]
        self._secret: set[str] = set().union(*map(_secrets, promise.script.questions()))
        self.count = ShownCount()
        self._field: FieldName | None = (
            "captions" if promise.arrangement.captions is not None else None
        )

    def differences(
        self, held: Sequence[tuple[str, CaptionFile]], others: Sequence[Path]
    ) -> Iterator[Difference]:
        """Give what may not be read and can be, and what should be shown and is not."""
        for name, captions in held:
            self.count.n_files += 1
            yield from self._captions(name, captions.cues)
        for file in others:
            self.count.n_files += 1
            yield from self._transcript(file)

    # ---- captions

    def _captions(self, name: str, cues: Sequence[Cue]) -> Iterator[Difference]:
        everything = Readable()
        for said in self._promised.values():
            everything.add(said)
        self._add_keys(everything)
        settings = self._promise.script.settings
        before, _, after = settings.countdown_wording.partition("{time}")
        count = re.compile(re.escape(before) + r"[\d a-z]*" + re.escape(after))
        for cue in cues:
            self.count.n_cues += 1
            near = [
                i
                for i, span in enumerate(self._spans)
                if span and cue.start_ms < span[1] and span[0] - CAPTION_EARLY_MS < cue.end_ms
            ]
            if settings.countdown and count.fullmatch(cue.text):
                continue
            readable = everything
            if near:
                readable = Readable()
                self._add_keys(readable)
                for key in {self._found.of_sound[i] for i in near}:
                    readable.add(self._promised.get(key, ()))
                for i in near:
                    readable.open |= words(speaker_of(self._sounds[i]))
                readable.open |= self._unknown(near)
            leaked = readable.leaked(cue.text)
            if leaked:
                item = self._sounds[near[0]].question if near else None
                yield Difference(
                    "promise-captions", self._field,
                    f"{name}, line {cue.line} shows {_n_words(leaked)} that may not be shown"
                    + (f" while {name_of(item)} is heard" if item else ""),
                    self._place(), item, 0, len(leaked), "", Fraction(cue.start_ms, 1000),
                )  # fmt: skip
        if cues or self._owes_captions():
            yield from self._owed(name, cues)

    def _owes_captions(self) -> bool:
        return (self._promise.arrangement.captions or self._promise.script.settings.captions) != (
            "nothing"
        )

    def _unknown(self, sounds: Iterable[int]) -> set[str]:
        """Return words of open sounds that the script has otherwise: restated values, figures."""
        found: set[str] = set()
        for i in sounds:
            element = self._sounds[i].element
            if not isinstance(element, Utterance):
                continue
            said = self._promised.get(self._found.of_sound[i], [])
            own = Readable()
            own.add(said)
            if said and all(one.is_shown_whole for one in said):
                found |= words(element.shown) - (own.withheld - own.open)
        return found

    def _owed(self, name: str, cues: Sequence[Cue]) -> Iterator[Difference]:
        """Give an error where something that must be shown has no caption in its time."""
        lost: list[int] = []
        at = 0
        for i, span in enumerate(self._spans):
            if span is None or not self._owed_words(i):
                continue
            self.count.n_owed += 1
            while at < len(cues) and cues[at].end_ms + 10_000 < span[0]:
                at += 1
            own = self._owed_words(i)
            near = (
                one
                for one in cues[at:]
                if one.start_ms < span[1] and span[0] - CAPTION_EARLY_MS < one.end_ms + 1
            )
            if any(words(one.text) & own for one in near):
                self.count.n_captioned += 1
            else:
                lost.append(i)
        if lost:
            first = self._sounds[lost[0]]
            n = len(lost)
            yield Difference(
                "promise-captions", self._field,
                f"{name} leaves out what must be shown: {n} utterance{'s' * (n > 1)}",
                first.place, first.question, self.count.n_owed, self.count.n_captioned,
            )  # fmt: skip

    def _owed_words(self, i: int) -> set[str]:
        """Return the words of a sound of which captions must show some; nothing for a tone."""
        element = self._sounds[i].element
        said = self._promised.get(self._found.of_sound[i], [])
        if not isinstance(element, Utterance) or not said:
            return set()
        if not all(one.is_shown_whole for one in said):
            return set()
        own = Readable()
        own.add(said)
        return words(element.shown) - (own.withheld - own.open)

    def _add_keys(self, readable: Readable) -> None:
        """Count keys and notes for staff among what may never be read."""
        readable.withheld |= self._secret

    # ---- transcripts and printed instructions

    def _transcript(self, path: Path) -> Iterator[Difference]:
        promise = self._promise
        policy = promise.transcript
        if policy is not None:
            promise = promise_of(promise.script, replace(promise.arrangement, captions=policy))
        shown = policy or promise.arrangement.captions or promise.script.settings.captions
        readable = self._readable(promise, shown)
        name: FieldName | None = "transcript" if policy is not None else self._field
        for number, row in rows_of(path):
            leaked = readable.leaked(re.sub(r"^\d{1,4}:\d\d ", "", row))
            if leaked:
                yield Difference(
                    "promise-transcript", name,
                    f"{path.name}, line {number} shows {_n_words(leaked)} that may not be read",
                    self._place(), None, 0, len(leaked),
                )  # fmt: skip

    def _readable(self, promise: Promise, shown: str) -> Readable:
        """Return what of the whole test may be read, and what may not."""
        readable = Readable()
        for said in promise.said().values():
            readable.add(said)
        self._add_keys(readable)
        if shown != "nothing":
            readable.open |= self._unknown(range(len(self._sounds)))
        settings = promise.script.settings
        readable.open |= words(" ".join([*settings.speakers, settings.title]))
        readable.open |= _marks_of_slate(promise.script)
        for part in promise.script.parts:
            readable.open |= words(part.title)
        return readable

    # ---- what is no caption and no transcript

    def elsewhere(self, texts: Sequence[OtherText]) -> Iterator[Difference]:
        """Give what may not be read and stands in a page, in tags, or around captions."""
        if not texts:
            return
        promise = self._promise
        settings = promise.script.settings
        shown = promise.arrangement.captions or settings.captions
        readable = self._readable(promise, shown)
        readable.open |= words(promise.arrangement.label)
        readable.open |= words(" ".join(screen_words(settings.language).words.values()))
        held = withheld(
            (one for said in promise.said().values() for one in said),
            (note.text for one in promise.script.questions() for note in _secret_notes(one)),
            readable.withheld - readable.open,
        )
        of_page = held.words - words(own_words_of_page())
        of_code = words(own_words_of_code())
        for one in texts:
            leaked = set(of_page & words(one.text)) if one.is_read else held.told_in(one.text)
            leaked -= of_code if one.is_code else set()
            if leaked:
                yield Difference(
                    "withheld-shown", self._field,
                    f"{one.where} holds {_n_words(leaked)} that may not be read",
                    self._place(), None, 0, len(leaked),
                )  # fmt: skip

    def _place(self) -> Place | None:
        arrangement = self._promise.arrangement
        return arrangement.places.get("captions") or arrangement.place


def judged_sheet(path: Path, promise: Promise, *, tells_seal: bool = True) -> Iterator[Difference]:
    """Give what an answer sheet should not hold, or lacks.

    It has the number of each question that is not left out, its own text of the sheet and its
    answers to choose from; of what is spoken, of keys and of notes for staff it has nothing.
    `tells_seal`: also that it is not the file that was built.
    """
    raw = bytes_of(path)
    paper = pdf_paper(raw, path.name) if path.suffix == ENDING else None
    if paper is None:
        text = raw.decode("utf-8", "replace")
    else:
        # a page's number may be a figure that is only heard
        numbered = paper_words(promise.script.settings.language)["page"]
        text = paper.text_but_numbers(numbered)
    readable = _sheet_words(promise)
    if paper is not None:
        readable.open |= words(" ".join(picture_words(promise.script)))
    leaked = readable.leaked(text)
    if leaked:
        yield Difference(
            "promise-sheet", None,
            f"{path.name} shows {_n_words(leaked)} that no sheet may show",
            None, None, 0, len(leaked),
        )  # fmt: skip
    if paper is not None:
        if paper.seal == "broken" and tells_seal:
            why = f"{path.name} is not the paper that was built: {paper.unlike_built}"
            yield Difference("promise-sheet", None, why)
        yield from judged_pages(path.name, paper, promise)
    kept, left = _labels(promise) if paper is None else ([], [])
    for label in kept:
        if not re.search(rf"(?m)^ *{re.escape(label)}\. ", text):
            yield Difference("promise-sheet", None, f"{path.name} has no question {label}")
    for label in left:
        if re.search(rf"(?m)^{re.escape(label)}\.  ", text):
            yield Difference(
                "promise-leave-out", "leave-out", f"{path.name} has question {label}, left out",
                promise.place_of("leave-out"),
            )  # fmt: skip
    lacks = _owed_on_sheet(promise) - words(text)
    if lacks:
        yield Difference(
            "promise-sheet", None, f"{path.name} lacks {_n_words(lacks)} of what it must show"
        )


def _sheet_words(promise: Promise) -> Readable:
    readable = Readable()
    script = promise.script
    readable.open |= words(f"{_ON_SHEETS} {script.settings.title} {promise.arrangement.label}")
    readable.open |= words(" ".join(paper_words(script.settings.language).values()))
    readable.open |= words(" ".join(script.settings.sheet_head or ()))
    readable.open |= _owed_on_sheet(promise) | _marks_of_slate(script)
    for event in promise.events:
        if isinstance(event, Said):
            for one in event.shown:
                readable.withheld |= words(one.text)
    for part, group, block in script.blocks():
        readable.open |= words(f"{part.title} {group.title}")
        if isinstance(block, Question):
            readable.withheld |= _secrets(block)
            readable.open |= words(block.label)
    return readable


def _marks_of_slate(script: Script) -> set[str]:
    """Return the edition, which the slate says and the head of every paper shows."""
    slates = (b for _, _, b in script.blocks() if isinstance(b, Stop) and b.is_slate)
    spelt = (one for b in slates for one in inlines_of(b) if isinstance(one, Span))
    return {word for one in spelt for word in words(plain(one.children))}


def _labels(promise: Promise) -> tuple[list[str], list[str]]:
    kept: list[str] = []
    left: list[str] = []
    for part, group, block in promise.script.blocks():
        if isinstance(block, Question):
            is_out = {part.title, group.title} & set(promise.arrangement.leave_out)
            (left if is_out else kept).append(block.label)
    return kept, [label for label in left if label not in kept]


def _owed_on_sheet(promise: Promise) -> set[str]:
    """Return the words that the sheet must show."""
    found: set[str] = set()
    for part, group, block in promise.script.blocks():
        if {part.title, group.title} & set(promise.arrangement.leave_out):
            continue
        if isinstance(block, Note) and block.kind == "sheet":
            found |= _sheet_text(block)
        if not isinstance(block, Question) or block.withdrawn:
            continue
        if block.sheet is not None:
            found |= _sheet_text(block.sheet)
        found |= _printed(block.content, is_printed=block.printed)
    return found


def _printed(content: Sequence[QuestionContent], *, is_printed: bool) -> set[str]:
    found: set[str] = set()
    for one in content:
        if isinstance(one, Prose) and is_printed:
            found |= words(plain(one.inlines))
        elif isinstance(one, Options):
            for option in one.options:
                pictures = " ".join(getattr(n, "description", "") for n in option.prose.inlines)
                shown = plain(option.prose.inlines).strip() or pictures
                found |= words(f"{option.letter} {shown}")
        elif isinstance(one, SubQuestion):
            found |= words(one.letter) | _printed(one.content, is_printed=is_printed)
            if one.sheet is not None:
                found |= _sheet_text(one.sheet)
    return found


def _sheet_text(note: Note) -> set[str]:
    """Return the words of a sheet's text; what stands in braces describes it."""
    return words(re.sub(r"\{[^}]*\}|\([^)]*\.[a-z]{3,4}\)|_", " ", note.text))


def _secrets(question: Question) -> set[str]:
    return {word for note in _secret_notes(question) for word in words(note.text)}


def _secret_notes(question: Question) -> Iterator[Note]:
    """Walk keys and notes for staff."""
    subs = [one for one in question.content if isinstance(one, SubQuestion)]
    every: list[Question | SubQuestion] = [question, *subs]
    for one in every:
        if one.key:
            yield one.key
        yield from one.notes


def _n_words(found: set[str]) -> str:
    return f"{len(found)} word{'s' * (len(found) > 1)}"
