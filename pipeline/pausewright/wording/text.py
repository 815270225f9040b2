"""Plain text to the words for the voice: figures worded, every other sign known or refused.

The text is walked once. At each figure, sign or word of interest the topics are asked in turn;
the first that reads it says its words. What nobody reads is an error with its own place, and a
reading that could be another is a warning with the choices: nothing is guessed silently.
"""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.formulas.latex import parsed
from pausewright.formulas.linear import linear
from pausewright.formulas.tree import FormulaError
from pausewright.wording import figures, topics, typed_forms, unread
from pausewright.wording import special_words as word_topics
from pausewright.wording.formula_marks import CLOSE, FORMULA, OPEN, hidden
from pausewright.wording.formula_science import NoWordsError
from pausewright.wording.formula_words import FormulaWords
from pausewright.wording.kept_readings import Noting, Spoken, ways_of
from pausewright.wording.language import Language, language_for
from pausewright.wording.letters import CLAUSE_END, MARKS, marked
from pausewright.wording.numbers import TooLongError
from pausewright.wording.patterns import Late
from pausewright.wording.plain_runs import PlainRuns, is_word
from pausewright.wording.refusals import Refusals
from pausewright.wording.respellings import warn_of_capitals
from pausewright.wording.scan import Reading, Scan

if TYPE_CHECKING:
    import re
    from collections.abc import Callable

    from pausewright.problems import Place, Problems
    from pausewright.script.declared import Settings
    from pausewright.wording.kept_readings import Ways, Where
    from pausewright.wording.lexicon import Lookup

_COMMAS: Final = Late(r",(?:\s*,)+")
_NO_MARKS: Final = dict.fromkeys(map(ord, MARKS), "\ufffd")
"""The signs of our own marks, if a text holds them, are signs without words."""
_QUIET: Final = frozenset(" \n.,;:?!'’‘\"“”()–—-…¿¡«»\u00a0\u202f\u2009\u200b\u2060\ufeff\u00ad")
"""Signs that a voice takes as phrasing or not at all."""
MOST_FIGURES: Final = 1000
_FIGURE: Final = "[\\d\u00b2\u00b3\u00b9\u2070-\u2079\u2080-\u2089]"
_ENDLESS: Final = Late(rf"{_FIGURE}(?:[,.]?{_FIGURE}){{{MOST_FIGURES - 1},}}")
"""A number that is not even looked at; those of more than 18 figures have no words either."""


_ENDS_CLAUSE: Final = Late(r"(?:[,;:][\"”’')]*|(?:^|\s)[–—])$")
"""What stands before a blank at which a clause ends."""


class TextReader:
    """One script's ways of reading; `problems` takes what has no words and what has several."""

    def __init__(self, settings: Settings, problems: Problems) -> None:
        """Take the settings that choose styles, words and lexicons."""
        self.settings = settings
        self.problems = problems
        self.ways = ways_of(settings)
        own = (*settings.words, *(one for lexicon in settings.lexicons for one in lexicon.entries))
        for entry in own:
            if entry.say:
                warn_of_capitals(entry.say, entry.place, problems)

    def read(self, text: str, language: str, voice: str, where: Where) -> Spoken:
        """Return what is spoken and shown for plain text; `where` gives the place of its parts.

        Every figure or sign without words is an error with its own place, every ambiguous one a
        warning.
        """
        key = (text, language, voice)
        kept = self.ways.texts.get(key)
        spoken = None if kept is None else kept.told(where, self.problems)
        if spoken is not None:
            return spoken
        noting = Noting(where)
        lookup = self.ways.lookup(language, voice)
        walk = _Walk(text, self.ways, language, noting.where, lookup, noting.problems)
        kept = noting.kept(walk.spoken(marks_clauses=True))
        self.ways.keep(key, kept)
        self.problems.extend(noting.problems.in_order)
        return kept.spoken

    def said(self, text: str, language: str, where: Where) -> str:
        """Return the words of text that says how something is read: no lexicon touches it."""
        return _Walk(text, self.ways, language, where, None, self.problems).spoken().words


_NO_LANGUAGE: Final = Language({"tag": "", "needs_review": True}, "")


class _Walk:
    """One text, walked from left to right."""

    def __init__(
        self,
        text: str,
        ways: Ways,
        language: str,
        where: Where,
        lookup: Lookup | None,
        problems: Problems,
    ) -> None:
        text = typed_forms.usual(text.translate(_NO_MARKS))
        for found in _ENDLESS.finditer(text):
            problems.error(
                where(found.start(), len(found[0])),
                f"this number has more than {MOST_FIGURES:,} figures",
                "write it in words, or as a power of ten",
                code="wording-none",
            )
        for found in unread.HIDDEN.finditer(text):
            plain = "".join(sign for sign in found[0] if sign.isprintable())
            problems.error(
                where(found.start(), len(found[0])),
                f"a sign that is not seen stands inside a number, after ‘{plain}’",
                "delete it, and type the number once more",
                code="wording-hidden",
            )
        text = _ENDLESS.sub(lambda found: "…".ljust(len(found[0])), text)
        self._ways = ways
        self._where = where
        self._problems = problems
        self._lookup = lookup
        self._tag = language
        self._language = language_for(language) or _NO_LANGUAGE
        self._formulas = {at.start(): (at[1], at.end()) for at in FORMULA.finditer(text)}
        self._typed = text
        text = hidden(text) if self._formulas else text
        if "\\" in text and self._language.has("formula"):
            text = typed_forms.BARE_LATEX.sub(self._bare_latex, text)
        if self._language.tag == "en":
            text = typed_forms.english(text, has_raised_points=self._language.day_first)
        self._scan = Scan(text, self._language, ways.settings.styles, ways.settings.zero)
        self._text = text
        self._refusals = Refusals(text, where, problems)
        self._plain = PlainRuns(
            self._language,
            frozenset() if lookup is None else lookup.firsts,
            ways.plain_words.setdefault((language, id(lookup)), {}),
        )
        self._out: list[str] = []
        self._shown: list[str] = []
        self._because: list[str] = []
        self._was_read = False
        """Whether what was said last is a reading: a blank goes between it and the next one."""

    def spoken(self, *, marks_clauses: bool = False) -> Spoken:
        text, at, n = self._text, 0, len(self._text)
        ends: list[int] = []
        while at < n:
            if text[at] == OPEN:
                at = self._formula(at)
                continue
            if marks_clauses and self._ends_clause(at):
                ends.append(at)
                self._put(CLAUSE_END)
                self._shown.append(CLAUSE_END)
            if (end := self._plain.end(self._scan, at)) > at:
                self._say(text[at:end])
                self._shown.append(self._typed[at:end])
                at = end
                continue
            reading = self._by_lexicon(at) or self._before_entries(at)
            if reading is None:
                end = self._unread(at)
                self._shown.append(self._typed[at:end])
                at = end
                continue
            self._say(reading.words, is_reading=True)
            for doubt in reading.doubts:
                self._refusals.doubt(doubt)
            if reading.slip is not None:
                self._refusals.slip(*reading.slip)
            if reading.because:
                self._because.append(reading.because)
            self._shown.append(reading.shown or self._typed[at : reading.end])
            at = reading.end
        words = "".join(self._out)
        words = _COMMAS.sub(",", words.replace("…", ",").replace("...", ","))
        return Spoken(
            words, "".join(self._shown), _marked_at(self._typed, ends), tuple(self._because)
        )

    def _ends_clause(self, at: int) -> bool:
        """Say whether a blank stands after a mark between clauses that nothing has read."""
        if self._was_read or not self._text[at].isspace():
            return False
        return _ENDS_CLAUSE.search(self._text, max(0, at - 4), at) is not None

    def _say(self, words: str, *, is_reading: bool = False) -> None:
        """Add words, with a blank between two that stood together with a sign or figure."""
        last = self._out[-1][-1:] if self._out else ""
        after_reading = self._was_read and not last.isspace() and not words[:1].isspace()
        begins_word = words[:1].isalnum() or words[:1] in MARKS
        if begins_word and (after_reading or last.isalnum()):
            self._out.append(" ")
        self._put(words, is_reading=is_reading)

    def _put(self, signs: str, *, is_reading: bool = False) -> None:
        self._out.append(signs)
        self._was_read = is_reading

    def _refused(self, left: str, end: int) -> int:
        """Put what was refused as it stands; return where to go on."""
        self._put(left)
        return end

    def _by_lexicon(self, at: int) -> Reading | None:
        """Read a word that the script, a centre's lexicon or a bundled one has a rule for."""
        if self._lookup is None:
            return None
        found = self._lookup.entry(self._text, at)
        if found is not None:
            end, entry = found
            written = self._text[at:end]
            if entry.ipa:
                return Reading(end, marked(entry.ipa, written), "word", shown=entry.shown)
            said = entry.say or written
            words = self._said(said, entry.place)
            return Reading(end, words, "word", shown=entry.shown)
        if not self._text[at].isalpha() or (at and self._text[at - 1].isalnum()):
            return None
        word = word_topics.WORD.match(self._text, at)
        if word is None or word[0].lower() not in self._lookup.heteronyms:
            return None
        return self._lookup.heteronym(self._scan, at, word[0])

    # ---- what stands at one place

    def _before_entries(self, at: int) -> Reading | None:
        """Read what stands at `at`; a rule for a word counts before any other reading of it."""
        found = self._reading(at)
        if found is None or self._lookup is None or found.kind == "address":
            return found
        start = self._lookup.next_entry(self._text, at + 1, found.end)
        if start is None:
            return found
        whole, scan = self._text, self._scan
        self._text, self._scan = whole[:start], replace(scan, text=whole[:start])
        found = self._reading(at)
        self._text, self._scan = whole, scan
        return found

    def _reading(self, at: int) -> Reading | None:
        try:
            return topics.read(self._scan, at) if self._language.tag else None
        except TooLongError:
            return None

    # ---- formulas

    def _formula(self, at: int) -> int:
        """Say the formula whose mark stands at `at`; return where to go on."""
        latex, end = self._formulas[at]
        here = self._where(at, end - at)
        try:
            tree = parsed(latex)
            words = FormulaWords(self._scan, at, self._inner(here)).words(tree)
        except FormulaError as error:
            self._problems.error(here, error.message, error.hint, code="wording-formula")
            self._shown.append(f"${latex}$")
            return end
        except NoWordsError as error:
            what = f"‘{error}’ in this formula" if len(str(error)) == 1 else "this formula"
            self._problems.error(
                here, f"there are no words for {what} yet", "write it in words", code="wording-none"
            )
            self._shown.append(f"${latex}$")
            return end
        self._say(words, is_reading=True)
        self._shown.append(linear(tree))
        return end

    def _bare_latex(self, found: re.Match[str]) -> str:
        """Take LaTeX without dollar signs for the formula that it is, and say so."""
        latex = found[0]
        self._formulas[found.start()] = (latex, found.end())
        self._problems.warn(
            self._where(found.start(), len(latex)),
            "this is LaTeX, but no dollar signs stand around it",
            f"write ${latex}$",
            code="wording-formula",
        )
        return f"{OPEN}{'x' * (len(latex) - 2)}{CLOSE}"

    def _inner(self, place: Place) -> Callable[[str], str]:
        """Return what words plain text inside a formula."""
        return lambda text: self._said(text, place)

    def _said(self, text: str, place: Place) -> str:
        """Return the words of text that no lexicon touches."""
        walk = _Walk(text, self._ways, self._tag, _all_at(place), None, self._problems)
        return walk.spoken().words

    # ---- what nobody reads

    def _joins(self, at: int) -> bool:
        """Say whether a dash or colon stands between two things, one of them a figure."""
        before, after = self._text[at - 1 : at], self._text[at + 1 : at + 2]
        return before.isalnum() and after.isalnum() and (before.isdigit() or after.isdigit())

    def _unread(self, at: int) -> int:
        """Say a plain sign or word as it is, or report what has no words; return where to go on."""
        text, sign = self._text, self._text[at]
        if (
            sign in "@:."
            and not self._was_read
            and topics.is_address(topics.token_at(self._text, at)[1])
        ):
            return self._refused(*self._refusals.token(at))
        if _is_figure(sign) or (sign.isalpha() and at and _is_figure(text[at - 1])):
            return self._refused(*self._refusals.token(at))
        if sign.isalpha():
            word = word_topics.WORD.match(text, at)
            end = word.end() if word else at + 1
            while not is_word(text[at:end]):
                end -= 1
            if _is_figure(text[end : end + 1]) and self._reading(end) is None:
                return self._refused(*self._refusals.token(at))
            if unread.is_no_word(text[at:end], self._language):
                return self._refused(*self._refusals.token(at))
            self._say(text[at:end])
            return end
        if sign == "." and at and text[at - 1].isalpha() and not self._was_read:
            self._refusals.doubt_dot(at, self._language)
        if sign == ";" and self._typed[at] == ",":
            self._put(", ")  # of a list without blanks
            return at + 1
        if sign in "–:" and self._joins(at):
            self._refusals.doubt_joint(at)
        if sign in _QUIET or (unicodedata.category(sign) in {"Mn", "Mc", "Cf", "Zs"}):
            if sign == "-" and self._was_read and text[at + 1 : at + 2].isdigit():
                return self._refused(*self._refusals.token(at))
            self._put(sign)
            return at + 1
        if sign.isspace():
            self._put(" ")
            return at + 1
        return self._refused(*self._refusals.sign(at, sign))


def _all_at(place: Place) -> Where:
    """Return what says of every part of a text that it stands at one place."""
    return lambda _offset, _length: place


def _marked_at(text: str, ends: list[int]) -> str:
    """Return a text with a clause end at each of these offsets."""
    starts = [0, *ends]
    return CLAUSE_END.join(text[a:b] for a, b in zip(starts, [*ends, len(text)], strict=True))


def _is_figure(sign: str) -> bool:
    return bool(sign) and (
        sign.isdigit() or sign in figures.STARTS or unicodedata.category(sign) in {"Nd", "Nl", "No"}
    )
