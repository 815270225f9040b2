"""Plain text to the words for the voice: figures worded, every other sign known or refused.

The text is walked once. At each figure, sign or word of interest the topics are asked in turn;
the first that reads it says its words. What nobody reads is an error with its own place, and a
reading that could be another is a warning with the choices: nothing is guessed silently.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.wording import abbreviations, codes, dates, figures, maths, money, pairs
from pausewright.wording import special_words as word_topics
from pausewright.wording.language import Language, language_for
from pausewright.wording.letters import CLAUSE_END, MARKS, marked, unmarked
from pausewright.wording.lexicon import Lookup
from pausewright.wording.numbers import TooLongError
from pausewright.wording.scan import LETTER, OPERATORS, Reading, Scan

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.problems import Place, Problems
    from pausewright.script.declared import Settings
    from pausewright.wording.scan import Doubt

    Where: TypeAlias = Callable[[int, int], Place]
    """From an offset in a text and a count of characters to their place."""

_COMMAS: Final = re.compile(r",(?:\s*,)+")
_NO_MARKS: Final = dict.fromkeys(map(ord, MARKS), "\ufffd")
"""The signs of our own marks, if a text holds them, are signs without words."""
_QUIET: Final = frozenset(" \n.,;:?!'’‘\"“”()–—-…¿¡«»\u00a0\u202f\u2009\u200b\u2060\ufeff\u00ad")
"""Signs that a voice takes as phrasing or not at all."""
_TRIM: Final = ".,;:?!'’‘\"“”()–—…¿¡«»"
_PLAIN: Final = re.compile(rf"(?:{LETTER}{{2,}}[’']?{LETTER}*(?=[\s,.;:!?]|$)[,;:!?]*|\s)")
_TOKEN: Final = re.compile(r"\S+")
_MONEY_START: Final = frozenset("£$€¥₹₩₽₺₪")
MOST_FIGURES: Final = 1000
_FIGURE: Final = "[\\d\u00b2\u00b3\u00b9\u2070-\u2079\u2080-\u2089]"
_ENDLESS: Final = re.compile(rf"{_FIGURE}(?:[,.]?{_FIGURE}){{{MOST_FIGURES - 1},}}")
"""A number that is not even looked at; those of more than 18 figures have no words either."""
_ADDRESS: Final = re.compile(r"\S+@\S+\.\w+|www\.\S+|\w+://\S+")


_ENDS_CLAUSE: Final = re.compile(r"(?:[,;:][\"”’')]*|(?:^|\s)[–—])$")
"""What stands before a blank at which a clause ends."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """The forms of a piece of text; each may hold `letters.CLAUSE_END` at the same marks."""

    words: str
    """For the voice; may hold marks for sounds, see `letters.parts`."""
    shown: str
    """For captions."""
    written: str = ""
    """As it stands in the script."""


class TextReader:
    """One script's ways of reading; `problems` takes what has no words and what has several."""

    def __init__(self, settings: Settings, problems: Problems) -> None:
        """Take the settings that choose styles, words and lexicons."""
        self.settings = settings
        self.problems = problems
        self._lookups: dict[tuple[str, str], Lookup] = {}

    def read(self, text: str, language: str, voice: str, where: Where) -> Spoken:
        """Return what is spoken and shown for plain text; `where` gives the place of its parts.

        Every figure or sign without words is an error with its own place, every ambiguous one a
        warning.
        """
        walk = _Walk(text, self, language, where, self.lookup(language, voice))
        return walk.spoken(marks_clauses=True)

    def said(self, text: str, language: str, where: Where) -> str:
        """Return the words of text that says how something is read: no lexicon touches it."""
        return _Walk(text, self, language, where, None).spoken().words

    def lookup(self, language: str, voice: str) -> Lookup:
        """Return the words with rules of their own for a language and voice."""
        key = (language, voice)
        if key not in self._lookups:
            self._lookups[key] = Lookup(self.settings, language, voice)
        return self._lookups[key]


@cache
def _special(language: Language) -> frozenset[str]:
    """Return the words that a topic wants to see."""
    calendar = language.table("calendar")
    return frozenset(
        word
        for words in (
            calendar.get("months", ()),
            calendar.get("short_months", ()),
            ("Sept",),
            calendar.get("days", ()),
            language.table("abbreviations"),
            language.table("abbreviations_before_figures"),
            language.table("functions"),
            language.table("units").get("lists", {}).get("alone", ()),
            ("St", "St."),
        )
        for word in (*words, *(one.rstrip(".") for one in words))
    )


_NO_LANGUAGE: Final = Language({"tag": "", "needs_review": True}, "")


class _Walk:
    """One text, walked from left to right."""

    def __init__(
        self, text: str, reader: TextReader, language: str, where: Where, lookup: Lookup | None
    ) -> None:
        settings = reader.settings
        text = text.translate(_NO_MARKS)
        for found in _ENDLESS.finditer(text):
            reader.problems.error(
                where(found.start(), len(found[0])),
                f"this number has more than {MOST_FIGURES:,} figures",
                "write it in words, or as a power of ten",
                code="wording-none",
            )
        text = _ENDLESS.sub(lambda found: "…".ljust(len(found[0])), text)
        self._reader = reader
        self._where = where
        self._problems = reader.problems
        self._lookup = lookup
        self._tag = language
        self._language = language_for(language) or _NO_LANGUAGE
        self._scan = Scan(text, self._language, settings.styles, settings.zero)
        self._text = text
        self._special = _special(self._language)
        self._out: list[str] = []
        self._shown: list[str] = []
        self._was_read = False
        """Whether what was said last is a reading: a blank goes between it and the next one."""

    def spoken(self, *, marks_clauses: bool = False) -> Spoken:
        text, at, n = self._text, 0, len(self._text)
        ends: list[int] = []
        while at < n:
            plain = _PLAIN.match(text, at)
            if plain is not None and self._is_plain(plain[0]):
                if marks_clauses and self._ends_clause(at):
                    ends.append(at)
                    self._put(CLAUSE_END)
                    self._shown.append(CLAUSE_END)
                self._say(plain[0])
                self._shown.append(plain[0])
                at = plain.end()
                continue
            reading = self._by_lexicon(at) or self._before_entries(at)
            if reading is None:
                end = self._unread(at)
                self._shown.append(text[at:end])
                at = end
                continue
            self._say(reading.words, is_reading=True)
            for doubt in reading.doubts:
                self._warn(doubt)
            self._shown.append(reading.shown or text[at : reading.end])
            at = reading.end
        words = "".join(self._out)
        words = _COMMAS.sub(",", words.replace("…", ",").replace("...", ","))
        return Spoken(words, "".join(self._shown), _marked_at(text, ends))

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

    def _is_plain(self, run: str) -> bool:
        """Say whether a word, with the signs after it, is said as it is written."""
        word = run.rstrip(",;:!?")
        if not word.isascii() and not _is_word(word):
            return False
        if word in self._special or len(word) < 4 or word.isupper():
            return not word.strip()
        return self._lookup is None or word.lower() not in self._lookup.firsts

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
            words = self._reader.said(said, self._tag, lambda _offset, _length: entry.place)
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
        if found is None or self._lookup is None:
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
            return self._by_topic(at)
        except TooLongError:
            return None

    def _by_topic(self, at: int) -> Reading | None:
        sign = self._text[at]
        if not self._language.tag:
            return None
        begins = at == 0 or not (self._text[at - 1].isalnum() or self._text[at - 1] == "_")
        if sign in figures.STARTS:
            return figures.read(self._scan, at) if begins else None
        if sign.isalpha() and sign != "ⁿ":
            return word_topics.read(self._scan, at, begins=begins)
        if sign in _MONEY_START:
            found = money.read(self._scan, at)
            if found is not None:
                return found
        if sign == "." and begins and self._text[at + 1 : at + 2].isdigit():
            return figures.read(self._scan, at)
        if sign == "+" and begins and (found := codes.read(self._scan, at)) is not None:
            return found
        if sign in "'’" and (found := dates.read(self._scan, at)) is not None:
            return found
        return self._sign(at, sign)

    def _sign(self, at: int, sign: str) -> Reading | None:
        scan = self._scan
        if sign in {"(", ")"}:
            return pairs.read_point(scan, at) if self._is_point(at) else maths.bracket(scan, at)
        if sign == "?" and (found := self._unknown(at)) is not None:
            return found
        if (found := maths.root(scan, at)) is not None:
            return found
        if (found := maths.sign_words(scan, at)) is not None:
            return found
        if self._text[at - 1 : at].strip() and (found := maths.power(scan, at)) is not None:
            return found
        if sign in "#№" and (found := abbreviations.read(scan, at)) is not None:
            return found
        if sign == "@" and _is_address(self._token(at)[1]):
            return None
        table = self._language.table("lone_signs")
        if sign in table and not (sign in _MONEY_START and self._text[at + 1 : at + 2].isdigit()):
            return Reading(at + 1, table[sign], "sign")
        return None

    def _unknown(self, at: int) -> Reading | None:
        """Read the question mark that stands for a number: `5 + ? = 9`."""
        after, word = self._scan.sign_after(at + 1), self._language.word("what")
        if not word or not {self._scan.sign_before(at), after} & OPERATORS:
            return None
        return Reading(at + 1, word if after else f"{word}?", "sign")

    def _is_point(self, at: int) -> bool:
        is_open = self._text[at] == "(" and not maths.function_of(self._scan, at - 1)
        return is_open and pairs.read_point(self._scan, at) is not None

    # ---- what nobody reads

    def _unread(self, at: int) -> int:
        """Say a plain sign or word as it is, or report what has no words; return where to go on."""
        text, sign = self._text, self._text[at]
        if sign in "@:." and _is_address(self._token(at)[1]):
            return self._refuse_token(at)
        if _is_figure(sign) or (sign.isalpha() and at and _is_figure(text[at - 1])):
            return self._refuse_token(at)
        if sign.isalpha():
            word = word_topics.WORD.match(text, at)
            end = word.end() if word else at + 1
            while not _is_word(text[at:end]):
                end -= 1
            if _is_figure(text[end : end + 1]) and self._reading(end) is None:
                return self._refuse_token(at)
            self._say(text[at:end])
            return end
        if sign in _QUIET or (unicodedata.category(sign) in {"Mn", "Mc", "Cf", "Zs"}):
            if sign == "-" and self._was_read and text[at + 1 : at + 2].isdigit():
                return self._refuse_token(at)
            self._put(sign)
            return at + 1
        if sign.isspace():
            self._put(" ")
            return at + 1
        return self._refuse_sign(at, sign)

    def _token(self, at: int) -> tuple[int, str]:
        """Return what stands between the blanks around a place, and where it begins."""
        start = max(self._text.rfind(blank, 0, at) for blank in " \n\u00a0") + 1
        found = _TOKEN.match(self._text, start)
        return start, found[0] if found else ""

    def _refuse_token(self, at: int) -> int:
        start, token = self._token(at)
        token = token or self._text[at]
        core = token.strip(_TRIM) or token
        first = start + token.find(core)
        here = self._where(first, len(core))
        self._problems.error(
            here,
            f"there are no words for ‘{core}’ yet",
            _hint(core, 'say="…"', whole=here.length == len(core)),
            code="wording-none",
        )
        self._put(self._text[at : start + len(token)])
        return max(at + 1, start + len(token))

    def _refuse_sign(self, at: int, sign: str) -> int:
        found = _TOKEN.match(self._text, at)
        token = found[0] if found else sign
        here = self._where(at, 1)
        name = unicodedata.name(sign, "a sign without a name").lower()
        self._problems.error(
            here,
            f"there are no words for the sign ‘{sign}’ ({name})",
            _hint(token.strip(_TRIM) or sign, 'say="…"', whole=here.length == 1),
            code="wording-none",
        )
        self._put(token)
        return at + len(token)

    def _warn(self, doubt: Doubt) -> None:
        core = self._text[doubt.start : doubt.end]
        here = self._where(doubt.start, len(core))
        first, *others = dict.fromkeys(unmarked(choice.words) for choice in doubt.choices)
        if not others:
            return
        also = " or ".join(f"“{words}”" for words in others)
        hint = f"write {' or '.join(choice.typed for choice in doubt.choices)}"
        if here.length != len(core):
            hint = "write it in words here"
        self._problems.warn(
            here,
            f"‘{core}’ is read “{first}”, but it may be {also}",
            unmarked(hint),
            code="wording-ambiguous",
        )


def _marked_at(text: str, ends: list[int]) -> str:
    """Return a text with a clause end at each of these offsets."""
    starts = [0, *ends]
    return CLAUSE_END.join(text[a:b] for a, b in zip(starts, [*ends, len(text)], strict=True))


def _is_address(token: str) -> bool:
    """Say whether a token is an address; none has more than 254 signs (RFC 5321, 4.5.3.1.3)."""
    return len(token) <= 254 and _ADDRESS.fullmatch(token.strip(_TRIM)) is not None


def _is_word(text: str) -> bool:
    return len(text) == 1 or all(sign.isalpha() or sign in "'’" for sign in text)


def _is_figure(sign: str) -> bool:
    return bool(sign) and (
        sign.isdigit() or sign in figures.STARTS or unicodedata.category(sign) in {"Nd", "Nl", "No"}
    )


def _hint(core: str, attribute: str, *, whole: bool) -> str:
    """Return what to write; in a field or for an escaped sign (not `whole`) no span can stand."""
    if not whole:
        return "write it in words here"
    return f"write [{core}]{{{attribute}}} with the words to be said"
