"""A script in words: for every paragraph, what is said, what is shown, in which pieces.

`Worded` answers for any paragraph, announcement or pattern with a `Line`; builder and checker
both ask here, so that both speak of the same words. Silences between lines are not its business.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.problems import Place, Problems
from pausewright.script.inline import plain
from pausewright.script.model import (
    Emphasis,
    Option,
    Options,
    PageTurn,
    Passage,
    Pause,
    Prose,
    Question,
    Sound,
    Span,
    Speech,
    Stop,
    Text,
    Tone,
)
from pausewright.wording import numbers
from pausewright.wording.pieces import AuthorPause, Excerpt, SpokenPart, ToneCue, Utterance
from pausewright.wording.text import spoken_text

if TYPE_CHECKING:
    from pausewright.script.model import Inline, Pattern, Script, Settings
    from pausewright.wording.pieces import Line, Piece

_FIELD: Final = re.compile(r"\{([a-z0-9-]+)\}")
_BOUNDARY: Final = re.compile(r"(?<=[.?!])(?P<close>[\"”’')]*)(?:\s+|$)")
_NO_BOUNDARY: Final = re.compile(r"(?:^|[\s(])(?:[A-Z]|Mr|Mrs|Ms|Dr|St|No|vs|etc|e\.g|i\.e)\.$")


class Worded:
    """A script with its words; problems found on the way are in `problems`."""

    def __init__(self, script: Script) -> None:
        """Word every paragraph, announcement and pattern of the script, once."""
        self.script = script
        self.problems = Problems()
        self._lines: dict[Prose, Line] = {}
        self._total = sum(1 for q in script.questions() if not q.practice)
        self._word_all()

    def line(self, prose: Prose) -> Line:
        """Return the pieces of a paragraph, turn, option or cue."""
        if prose not in self._lines:
            self._lines[prose] = self._line(prose.inlines, prose.speech, prose.place)
        return self._lines[prose]

    def announcement(self, of: Question | Passage, reading: int) -> Line:
        """Return what is said before a reading: `announce` at the first, `again` later; or ()."""
        in_force = of.delivery.announce if reading == 1 else of.delivery.again
        if isinstance(of, Passage) and reading > 1 and not of.delivery.again.value:
            in_force = of.delivery.announce
        template = in_force.value
        if template is None:
            return ()
        place = in_force.place or of.place
        inlines = self._filled(template, place, of, reading)
        return self._line(inlines, of.delivery.speech, place)

    def option(self, option: Option) -> Line:
        """Return an answer to choose, with its letter: "A, every week."."""
        prose = option.prose
        pictured = all(isinstance(n, Sound) or not plain((n,)).strip() for n in prose.inlines)
        inlines: tuple[Inline, ...] = () if pictured else prose.inlines
        joint = "." if pictured else ", "
        lead = Text(f"{option.letter}{joint}", prose.place)
        return self._line((lead, *inlines), prose.speech, prose.place)

    def pattern(self, question: Question) -> Line:
        """Return the whole pattern of a question, the author's pauses between its steps."""
        name = question.delivery.pattern.value
        pattern = self.script.settings.patterns.get(name or "")
        return () if pattern is None else self._pattern(pattern, question)

    def continues(self) -> Line:
        """Return "The recording continues.", as the settings word it."""
        settings = self.script.settings
        place = settings.places.get("continues-wording", Place(self.script.path, 1, 1))
        speech = _plain_speech(settings)
        return self._line((Text(settings.continues_wording, place),), speech, place)

    # ---- everything once, so that all problems are found

    def _word_all(self) -> None:
        self.continues()
        for _, _, block in self.script.blocks():
            if isinstance(block, Prose):
                self.line(block)
            elif isinstance(block, Passage):
                self._word_passage(block)
            elif isinstance(block, Stop | PageTurn):
                for prose in block.cue:
                    self.line(prose)
            elif isinstance(block, Question) and not block.printed:
                self._word_question(block)

    def _word_passage(self, passage: Passage) -> None:
        for prose in passage.content:
            self.line(prose)
        for reading in range(1, passage.delivery.readings.value + 1):
            self.announcement(passage, reading)

    def _word_question(self, question: Question) -> None:
        if question.delivery.pattern.value is not None:
            self.pattern(question)
            return
        for reading in range(1, question.delivery.readings.value + 1):
            self.announcement(question, reading)
        for content in question.content:
            if isinstance(content, Prose):
                self.line(content)
            elif isinstance(content, Options):
                for option in content.options:
                    self.option(option)

    # ---- templates

    def _filled(
        self, template: str, place: Place, of: Question | Passage, reading: int
    ) -> tuple[Inline, ...]:
        """Return a template's words as inlines, its fields filled."""
        known = self._fields(of, reading)
        inlines: list[Inline] = []
        at = 0
        for found in _FIELD.finditer(template):
            inlines.append(Text(template[at : found.start()], place))
            at = found.end()
            name = found[1]
            if name.isdigit():
                inlines += self._paragraph(of, int(name), template[at:], place)
            elif name in known:
                inlines.append(Text(known[name], place))
        inlines.append(Text(template[at:], place))
        return tuple(n for n in inlines if not (isinstance(n, Text) and not n.text))

    def _fields(self, of: Question | Passage, reading: int) -> dict[str, str]:
        delivery = of.delivery
        fields = {
            "total": str(self._total),
            "reading": str(reading),
            "readings": str(delivery.readings.value),
            "reading-th": _ordinal(reading),
        }
        if isinstance(of, Question):
            fields |= {"number": str(of.number), "part": of.part}
        return fields

    def _paragraph(
        self, of: Question | Passage, index: int, following: str, place: Place
    ) -> list[Inline]:
        paragraphs = [c for c in of.content if isinstance(c, Prose)]
        if index > len(paragraphs):
            self.problems.error(
                of.place, f"the pattern says {{{index}}}, but there are {len(paragraphs)} paragraphs",
                "add an indented paragraph, or use another pattern", code="pattern-paragraph",
                also=(place,),
            )  # fmt: skip
            return []
        inlines = list(paragraphs[index - 1].inlines)
        last = inlines[-1]
        if following[:1] in {".", ",", "?", "!", ":", ";"} and isinstance(last, Text):
            inlines[-1] = replace(last, text=last.text.rstrip().rstrip(".,:;"))
        return inlines

    def _pattern(self, pattern: Pattern, question: Question) -> Line:
        pieces: list[Piece] = []
        speech = question.delivery.speech
        for step in pattern.steps:
            if hasattr(step, "pause_s"):
                pieces.append(AuthorPause(step.pause_s, step.place))
                continue
            inlines = self._filled(step.template, step.place, question, 1)
            pieces += self._line(inlines, speech, question.place)
        return tuple(pieces)

    # ---- one line

    def _line(self, inlines: tuple[Inline, ...], speech: Speech, place: Place) -> Line:
        builder = _LineBuilder(self.script.settings, speech, self.problems)
        builder.add(inlines)
        pieces = builder.pieces()
        if not any(isinstance(p, Utterance | ToneCue | Excerpt) for p in pieces):
            self.problems.error(
                place, "nothing here can be said", "write words", code="nothing-said"
            )
        return pieces


def _plain_speech(settings: Settings) -> Speech:
    return Speech(settings.voice, settings.language, Fraction(1), 1)


def _ordinal(number: int) -> str:
    words = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
    return words[number - 1] if number <= len(words) else f"{number}th"


@dataclass(slots=True)
class _Sentence:
    """A sentence while it is put together."""

    spoken: list[SpokenPart] = field(default_factory=list)
    shown: str = ""
    place: Place | None = None


class _LineBuilder:
    def __init__(self, settings: Settings, speech: Speech, problems: Problems) -> None:
        self._settings = settings
        self._speech = speech
        self._problems = problems
        self._pieces: list[Piece] = []
        self._sentence = _Sentence()

    def pieces(self) -> Line:
        self._close()
        return tuple(self._pieces)

    def add(self, nodes: tuple[Inline, ...]) -> None:
        for node in nodes:
            if isinstance(node, Text):
                self._text(node)
            elif isinstance(node, Emphasis):
                self.add(node.children)
            elif isinstance(node, Span):
                self._span(node)
            elif isinstance(node, Pause):
                self._close()
                self._pieces.append(AuthorPause(node.pause_s, node.place))
            elif isinstance(node, Tone):
                self._close()
                spec = self._settings.tones.get(node.name)
                if spec is not None:
                    self._pieces.append(ToneCue(node.name, spec, node.place))
            elif isinstance(node, Sound):
                self._close()
                self._pieces.append(Excerpt(node))
                if node.pause_after_s is not None:
                    self._pieces.append(AuthorPause(node.pause_after_s, node.place))

    def _close(self) -> None:
        sentence, self._sentence = self._sentence, _Sentence()
        spoken = _joined(sentence.spoken)
        if not any(part.is_ipa or any(c.isalnum() for c in part.text) for part in spoken):
            if spoken and any(part.text.strip() for part in spoken) and self._pieces:
                self._append_mark(sentence)
            return
        if sentence.place is None:
            return
        place = sentence.place
        shown = " ".join(sentence.shown.split())
        self._pieces.append(Utterance(spoken, shown, self._speech, place))

    def _append_mark(self, sentence: _Sentence) -> None:
        """Hang closing marks without words (a quotation mark, a bracket) on what came before."""
        last = self._pieces[-1]
        if isinstance(last, Utterance):
            shown = last.shown + "".join(sentence.shown.split())
            self._pieces[-1] = replace(last, shown=shown)

    def _say(self, part: SpokenPart, shown: str, place: Place) -> None:
        sentence = self._sentence
        if sentence.place is None:
            sentence.place = place
        sentence.spoken.append(part)
        sentence.shown += shown

    def _text(self, node: Text) -> None:
        text, at = node.text.replace("\n", " "), 0
        while at < len(text):
            found = next((m for m in _BOUNDARY.finditer(text, at) if self._ends(text, at, m)), None)
            end = found.end() if found else len(text)
            self._words(text[at:end], node.place, at)
            if found:
                self._close()
            at = end

    def _ends(self, text: str, at: int, found: re.Match[str]) -> bool:
        before = (self._sentence.shown + text[at : found.start()]).rstrip("\"”’')")
        if found.end() == len(text) and found[0] == "":
            return False  # the paragraph goes on in the next node, or ends by itself
        return _NO_BOUNDARY.search(before) is None

    def _words(self, text: str, place: Place, offset: int) -> None:
        here = replace(
            place, column=place.column + offset, length=max(1, min(place.length, len(text)))
        )
        spoken = spoken_text(text, self._settings, self._speech.language, here, self._problems)
        if self._sentence.place is None:
            lead = len(text) - len(text.lstrip())
            here = replace(here, column=here.column + lead)
        if text.strip() or self._sentence.spoken:
            self._say(SpokenPart(spoken), text, here)

    def _span(self, span: Span) -> None:
        shown = span.shown if span.shown is not None else plain(span.children)
        language = span.language
        if span.ipa is not None:
            self._say(SpokenPart(span.ipa.strip("/[] "), is_ipa=True, language=language), shown,
                      span.place)  # fmt: skip
        elif span.say is not None:
            spoken = spoken_text(
                span.say, self._settings, language or self._speech.language, span.place,
                self._problems,
            )  # fmt: skip
            self._say(SpokenPart(spoken, language=language), shown, span.place)
        elif span.spell:
            self._say(SpokenPart(numbers.letters(plain(span.children))), shown, span.place)
        elif span.digits:
            self._say(SpokenPart(self._digits(span)), shown, span.place)
        elif span.read_as is not None:
            self._say(SpokenPart(self._read_as(span)), shown, span.place)
        elif language is not None and language != self._speech.language:
            self._say(SpokenPart(plain(span.children), language=language), shown, span.place)
        elif span.shown is not None:
            before = self._sentence.shown
            self.add(span.children)
            if self._sentence.shown.startswith(before):
                self._sentence.shown = before + span.shown
        else:
            self.add(span.children)

    def _digits(self, span: Span) -> str:
        text = plain(span.children)
        if not re.search(r"\d", text):
            self._problems.error(
                span.place, f"‘{text}’ has no digits", "write digits, or use .spell",
                code="digits-none",
            )  # fmt: skip
        zero = "zero" if self._settings.zero == "zero" else "oh"
        return numbers.digits(text, zero)

    def _read_as(self, span: Span) -> str:
        text = plain(span.children).strip()
        whole = re.fullmatch(r"\d{1,4}", text.replace(",", ""))
        british = not self._speech.language.startswith("en-US")
        if span.read_as == "number" and numbers.NUMBER.fullmatch(text):
            return numbers.spoken_number(text, self._settings, british=british)
        if span.read_as == "code" and re.search(r"\d", text):
            return self._digits(span)
        if span.read_as == "year" and whole:
            return numbers.year(text)
        self._problems.error(
            span.place, f"‘{text}’ cannot be worded as a {span.read_as} yet",
            f'write [{text}]{{say="…"}} with the words to be said', code="wording-none",
        )  # fmt: skip
        return text


def _joined(parts: list[SpokenPart]) -> tuple[SpokenPart, ...]:
    """Join neighbouring plain parts, so that equal words are equal takes."""
    out: list[SpokenPart] = []
    for part in parts:
        last = out[-1] if out else None
        if last and not last.is_ipa and not part.is_ipa and last.language == part.language:
            out[-1] = replace(last, text=last.text + part.text)
        else:
            out.append(part)
    cleaned = [p if p.is_ipa else replace(p, text=re.sub(r"\s+", " ", p.text)) for p in out]
    if cleaned:
        cleaned[0] = replace(cleaned[0], text=cleaned[0].text.lstrip())
        cleaned[-1] = replace(cleaned[-1], text=cleaned[-1].text.rstrip())
    return tuple(p for p in cleaned if p.text)
