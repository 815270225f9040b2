"""One paragraph to its elements: sentences to be voiced, the author's pauses, tones and sounds."""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_right
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final, TypeVar

from pausewright.script.inlines import plain
from pausewright.script.model import Emphasis, Formula, Pause, Sound, Span, Text, Tone
from pausewright.wording import letters
from pausewright.wording.caption_figures import caption_text
from pausewright.wording.formula_marks import in_text, masked, without_marks, written
from pausewright.wording.letters import CLAUSE_END
from pausewright.wording.line_elements import (
    AuthorPause,
    Clause,
    Excerpt,
    OtherWords,
    ShownPart,
    SpokenPart,
    ToneCue,
    Utterance,
)
from pausewright.wording.sentence_ends import is_ended, sentence_end
from pausewright.wording.span_words import span_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.problems import Place
    from pausewright.script.declared import CaptionPolicy
    from pausewright.script.model import Inline, Speech
    from pausewright.wording.line_elements import Element, Line
    from pausewright.wording.text import TextReader


@dataclass(slots=True)
class _Sentence:
    """A sentence while it is put together."""

    spoken: list[SpokenPart] = field(default_factory=list)
    written: str = ""
    """As printed; where it ends is told from this."""
    shown: list[ShownPart] = field(default_factory=list)
    has_own_caption: bool = False
    """Whether a part of it says itself what captions show."""
    place: Place | None = None
    because: list[str] = field(default_factory=list)


class _Run:
    """Neighbouring texts as one text; each offset knows its place."""

    def __init__(self, nodes: list[Text]) -> None:
        pieces = [in_text(n) if isinstance(n, Formula) else without_marks(n.text) for n in nodes]
        self.text = "".join(pieces).replace("\n", " ")
        self.masked = masked(self.text)
        """The same without the signs of formulas: none of them ends a sentence."""
        self._starts: list[tuple[int, Text]] = []
        at = 0
        for node, piece in zip(nodes, pieces, strict=True):
            self._starts.append((at, node))
            at += len(piece)

    def place(self, offset: int, length: int) -> Place:
        """Return the place of `length` characters from `offset`."""
        start, node = self._starts[bisect_right(self._starts, offset, key=lambda pair: pair[0]) - 1]
        if isinstance(node, Formula) or len(node.text) != node.place.length:  # the whole of it
            return node.place
        return replace(node.place, column=node.place.column + offset - start, length=max(1, length))


class LineBuilder:
    """Takes the inlines of one paragraph, in order, and gives its elements."""

    def __init__(self, reader: TextReader, speech: Speech) -> None:
        """`speech` is how the paragraph is voiced; `reader` words its text."""
        self._reader = reader
        self._settings = reader.settings
        self._speech = speech
        self._pieces: list[Element] = []
        self._sentence = _Sentence()
        self._n_whole = 0
        """Inside how many spans that must stay in one sentence."""
        self._captions: CaptionPolicy | None = None
        """What the span around says of captions."""

    def elements(self) -> Line:
        """Return what was put together; the last sentence ends here."""
        self._close()
        return tuple(self._pieces)

    def add(self, nodes: tuple[Inline, ...], language: str | None = None) -> None:
        """Add inlines; `language` is that of a span around them, None: the paragraph's."""
        run: list[Text] = []
        for node in _without_emphasis(nodes):
            if isinstance(node, Text):
                run.append(node)
                continue
            self._run(run, language)
            run = []
            if isinstance(node, Span):
                self._span(node, language)
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
        self._run(run, language)

    def _close(self) -> None:
        sentence, self._sentence = self._sentence, _Sentence()
        spoken = _joined(sentence.spoken)
        if not any(part.is_ipa or _has_words(part.text) for part in spoken):
            if any(part.text.strip() for part in spoken) and self._pieces:
                self._append_mark(sentence)
            return
        if sentence.place is not None:
            whole = self._clause(sentence, spoken)
            self._pieces.append(
                Utterance(
                    whole.spoken,
                    whole.shown,
                    self._speech,
                    sentence.place,
                    whole.written,
                    whole.shown_parts,
                    whole.others,
                    clauses=tuple(self._clauses(sentence, spoken)),
                    because=tuple(sentence.because),
                )
            )

    def _clause(self, sentence: _Sentence, spoken: tuple[SpokenPart, ...]) -> Clause:
        """Return a sentence, or a stretch of one, in its final forms."""
        shown_parts = [_without_end(part) for part in sentence.shown]
        shown = " ".join("".join(part.text for part in shown_parts).split())
        if not sentence.has_own_caption:
            shown = caption_text(shown, self._reader.settings, self._speech.language)
        return Clause(
            tuple(_without_end(part) for part in spoken),
            shown,
            " ".join(sentence.written.replace(CLAUSE_END, "").split()),
            tuple(shown_parts) if any(part.captions for part in shown_parts) else (),
            _others(shown_parts),
        )

    def _clauses(self, sentence: _Sentence, spoken: tuple[SpokenPart, ...]) -> Iterator[Clause]:
        """Give the stretches between the marks of a sentence; nothing where it has none."""
        if CLAUSE_END not in sentence.written:
            return
        written = sentence.written.split(CLAUSE_END)
        said = _parted(spoken)
        shown = _parted(sentence.shown)
        if not len(written) == len(said) == len(shown):
            return
        rows: list[tuple[list[SpokenPart], list[ShownPart], str]] = []
        for words, parts, text in zip(said, shown, written, strict=True):
            if rows and not any(part.is_ipa or _has_words(part.text) for part in words):
                rows[-1] = (rows[-1][0] + words, rows[-1][1] + parts, rows[-1][2] + text)
            else:
                rows.append((words, parts, text))
        if len(rows) < 2:
            return
        for words, parts, text in rows:
            yield self._clause(replace(sentence, written=text, shown=parts), _joined(words))

    def _append_mark(self, sentence: _Sentence) -> None:
        """Hang closing marks without words (a quotation mark, a bracket) on what came before."""
        last = self._pieces[-1]
        if isinstance(last, Utterance):
            mark = "".join("".join(part.text for part in sentence.shown).split())
            mark = mark.replace(CLAUSE_END, "")
            parts = (*last.shown_parts, ShownPart(mark)) if last.shown_parts else ()
            clauses = last.clauses
            if clauses:
                end = clauses[-1]
                own = (*end.shown_parts, ShownPart(mark)) if end.shown_parts else ()
                end = replace(end, shown=end.shown + mark, shown_parts=own)
                clauses = (*clauses[:-1], end)
            self._pieces[-1] = replace(
                last, shown=last.shown + mark, shown_parts=parts, clauses=clauses
            )

    def _say(
        self,
        parts: list[SpokenPart],
        written: str,
        shown: str,
        place: Place,
        language: str | None,
    ) -> None:
        sentence = self._sentence
        if sentence.place is None:
            sentence.place = place
        sentence.spoken += parts
        sentence.written += written
        sentence.shown.append(ShownPart(shown, self._captions, language))

    def _run(self, nodes: list[Text], language: str | None) -> None:
        if not nodes:
            return
        run, at = _Run(nodes), 0
        text = run.text
        if self._n_whole:
            self._words(run, 0, len(text), language)
            return
        following = text.lstrip()[:12]
        if (
            text[:1].isspace()
            and following
            and is_ended(self._sentence.written, following, self._speech.language)
        ):
            self._close()
        while at < len(text):
            end = sentence_end(run.masked, at, self._sentence.written, self._speech.language)
            self._words(run, at, len(text) if end is None else end, language)
            if end is None:
                break
            self._close()
            at = end

    def _words(self, run: _Run, start: int, end: int, language: str | None) -> None:
        text = run.text[start:end]
        spoken = self._reader.read(
            text,
            language or self._speech.language,
            self._speech.voice,
            lambda offset, length: run.place(start + offset, length),
        )
        lead = len(text) - len(text.lstrip())
        place = run.place(min(start + lead, end - 1), len(text.strip()))
        if text.strip() or self._sentence.spoken:
            other = self._other(language)
            words, shown = spoken.words, spoken.shown
            typed = written(spoken.written)
            if self._n_whole:  # what is shown instead is one thing
                words, typed, shown = (
                    form.replace(CLAUSE_END, "") for form in (words, typed, shown)
                )
            self._say(letters.parts(words, other), typed, shown, place, other)
            self._sentence.because += spoken.because

    def _other(self, language: str | None) -> str | None:
        """Return a language only where it is not the paragraph's own."""
        return None if language == self._speech.language else language

    def _span(self, span: Span, language: str | None) -> None:
        around, self._captions = self._captions, span.captions or self._captions
        self._span_words(span, language)
        self._captions = around

    def _span_words(self, span: Span, language: str | None) -> None:
        language = span.language or language
        parts = span_words(span, self._reader, language or self._speech.language)
        written = plain(span.children)
        shown = span.shown if span.shown is not None else written
        self._sentence.has_own_caption |= span.shown is not None
        other = self._other(language)
        if parts is not None:
            parts = [replace(part, language=other) for part in parts]
            self._say(parts, written, shown, span.place, other)
        elif span.shown is not None:
            before = list(self._sentence.shown)
            self._n_whole += 1
            self.add(span.children, language)
            self._n_whole -= 1
            self._sentence.shown = [
                *before,
                ShownPart(span.shown, self._captions, other),
            ]
        else:
            self.add(span.children, language)


def _without_emphasis(nodes: tuple[Inline, ...]) -> Iterator[Inline]:
    """Walk inlines with emphasis opened: it parts no figure from its unit."""
    for node in nodes:
        if isinstance(node, Emphasis):
            yield from _without_emphasis(node.children)
        else:
            yield node


def _has_words(text: str) -> bool:
    return any(c.isalnum() for c in text)


_Part = TypeVar("_Part", SpokenPart, ShownPart)


def _parted(parts: Sequence[_Part]) -> list[list[_Part]]:
    """Return parts in rows, a row for each stretch up to a clause end."""
    rows: list[list[_Part]] = [[]]
    for part in parts:
        if CLAUSE_END not in part.text:
            rows[-1].append(part)
            continue
        first, *more = part.text.split(CLAUSE_END)
        rows[-1].append(replace(part, text=first))
        rows += [[replace(part, text=text)] for text in more]
    return rows


def _without_end(part: _Part) -> _Part:
    if CLAUSE_END not in part.text:
        return part
    return replace(part, text=part.text.replace(CLAUSE_END, ""))


def _others(shown: list[ShownPart]) -> tuple[OtherWords, ...]:
    """Return the words in other languages among the shown parts of an utterance."""
    found: list[OtherWords] = []
    if all(part.language is None for part in shown):
        return ()
    before = ""
    for part in shown:
        text = " ".join(part.text.split())
        if part.language is not None and any(c.isalnum() for c in text):
            found.append(OtherWords(text, part.language, before.count(text)))
        before = " ".join(f"{before}{part.text}".split()) + " " * part.text.endswith(" ")
    return tuple(found)


def _joined(parts: list[SpokenPart]) -> tuple[SpokenPart, ...]:
    """Join neighbouring plain parts and write them one way, so that equal words are equal takes."""
    out: list[SpokenPart] = []
    for part in parts:
        last = out[-1] if out else None
        if last and not last.is_ipa and not part.is_ipa and last.language == part.language:
            out[-1] = replace(last, text=last.text + part.text)
        else:
            out.append(part)
    for at, part in enumerate(out):
        text = part.text if part.is_ipa else _one_way(part.text)
        text = text.lstrip() if at == 0 else text
        text = text.rstrip() if at == len(out) - 1 else text
        if text != part.text:
            out[at] = replace(part, text=text)
    return tuple(part for part in out if part.text)


_BLANKS: Final = re.compile(r"\s+")


def _one_way(text: str) -> str:
    text = unicodedata.normalize("NFC", text).replace("’", "'").replace("‘", "'")
    return _BLANKS.sub(" ", text.replace("“", '"').replace("”", '"'))
