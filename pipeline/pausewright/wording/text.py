"""Plain text to the words for the voice: figures worded, every other sign known or refused.

The text is walked once. At each figure, sign or word of interest the topics are asked in turn;
the first that reads it says its words. What nobody reads is an error with its own place, and a
reading that could be another is a warning with the choices: nothing is guessed silently.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.wording import (
    abbreviations,
    clock,
    codes,
    dates,
    fractions,
    maths,
    measures,
    money,
    numbers,
    pairs,
    roman,
)
from pausewright.wording.language import Language, language_for
from pausewright.wording.letters import LETTER_A, MARKS, marked, unmarked
from pausewright.wording.scan import LETTER, Reading, Scan

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.problems import Place, Problems
    from pausewright.script.model import Settings
    from pausewright.wording.scan import Doubt

    Where: TypeAlias = Callable[[int, int], Place]
    """From an offset in a text and a count of characters to their place."""

_QUIET: Final = frozenset(" \n.,;:?!'’‘\"“”()–—-…¿¡«»\u00a0\u202f\u2009\u200b\u2060\ufeff\u00ad")
"""Signs that a voice takes as phrasing or not at all."""
_TRIM: Final = ".,;:?!'’‘\"“”()–—…¿¡«»"
_PLAIN: Final = re.compile(rf"(?:{LETTER}{{2,}}[’']?{LETTER}*(?=[\s,.;:!?]|$)[,;:!?]*|\s)")
_TOKEN: Final = re.compile(r"\S+")
_WORD: Final = re.compile(rf"{LETTER}+(?:['’]{LETTER}+)*")
_MAYBE_YEAR: Final = re.compile(r"(?:1[1-9]|20)\d\d", re.ASCII)
_FIGURE_START: Final = frozenset("0123456789" + fractions.SIGNS)
_MONEY_START: Final = frozenset("£$€¥₹₩₽₺₪")
_FIGURES: Final = (
    dates.read, clock.read, money.read, codes.read, pairs.read, measures.read, fractions.read,
)  # fmt: skip
"""Who is asked, in this order, where a figure stands."""
_ORDINAL: Final = re.compile(r"(\d{1,3}(?:,\d{3})+|\d+)(st|nd|rd|th)(?!\w)", re.ASCII)
_FEET: Final = re.compile(r"(\d{1,3})['′’] ?(?:(\d{1,2})[\"″”])?(?!\w)", re.ASCII)
_LIST: Final = re.compile(r"\d{1,2}(?:,\d{1,2}){2,}(?![\w,.:/]*\d)", re.ASCII)


def spoken_text(
    text: str, settings: Settings, language: str, where: Where, problems: Problems
) -> str:
    """Return the words to be spoken for plain text; `where` gives the place of each part of it.

    The words may hold marks for sounds: see `letters.parts`. Every figure or sign without words
    is an error with its own place, every ambiguous one a warning.
    """
    return _Walk(text, settings, language, where, problems).words()


@cache
def _special(language: Language) -> frozenset[str]:
    """Return the words that a topic wants to see."""
    calendar = language.table("calendar")
    return frozenset(
        word
        for words in (
            calendar.get("months", ()), calendar.get("short_months", ()), ("Sept",),
            calendar.get("days", ()), language.table("abbreviations"),
            language.table("abbreviations_before_figures"), language.table("functions"),
            language.table("units").get("lists", {}).get("alone", ()), ("St", "St."),
        )
        for word in words
    )  # fmt: skip


_NO_LANGUAGE: Final = Language({"tag": "", "reviewed": False}, "")


class _Walk:
    """One text, walked from left to right."""

    def __init__(
        self, text: str, settings: Settings, language: str, where: Where, problems: Problems
    ) -> None:
        self._where = where
        self._problems = problems
        self._tag = language
        self._language = language_for(language) or _NO_LANGUAGE
        self._scan = Scan(text, self._language, settings.styles, settings.zero)
        self._text = text
        self._special = _special(self._language)
        self._out: list[str] = []
        self._was_read = False
        """Whether what was said last is a reading: a blank goes between it and the next one."""

    def words(self) -> str:
        text, at, n = self._text, 0, len(self._text)
        while at < n:
            plain = _PLAIN.match(text, at)
            if plain is not None and self._is_plain(plain[0]):
                self._out.append(plain[0])
                self._was_read = False
                at = plain.end()
                continue
            reading = self._reading(at)
            if reading is None:
                at = self._unread(at)
                continue
            if self._was_read and not reading.words.startswith(" "):
                self._out.append(" ")
            self._out.append(reading.words)
            self._was_read = True
            for doubt in reading.doubts:
                self._warn(doubt)
            at = reading.end
        words = "".join(self._out)
        return words.replace("…", ",").replace("...", ",")

    def _is_plain(self, run: str) -> bool:
        """Say whether a word, with the signs after it, is said as it is written."""
        word = run.rstrip(",;:!?")
        if not word.isascii() and not _is_word(word):
            return False
        if word in self._special or len(word) < 4 or word.isupper():
            return not word.strip()
        return True

    # ---- what stands at one place

    def _reading(self, at: int) -> Reading | None:
        sign = self._text[at]
        if not self._language.tag:
            return None
        begins = at == 0 or not (self._text[at - 1].isalnum() or self._text[at - 1] == "_")
        if sign in _FIGURE_START:
            return self._figure(at, begins=begins)
        if sign.isalpha():
            return self._letters(at, begins=begins)
        if sign in _MONEY_START:
            found = money.read(self._scan, at)
            if found is not None:
                return found
        if sign == "." and begins and self._text[at + 1 : at + 2].isdigit():
            return self._figure(at, begins=not self._text[at - 1 : at].isdigit())
        if sign == "+" and begins and (found := codes.read(self._scan, at)) is not None:
            return found
        if sign in "'’" and (found := dates.read(self._scan, at)) is not None:
            return found
        return self._sign(at, sign)

    def _figure(self, at: int, *, begins: bool) -> Reading | None:
        scan = self._scan
        if not begins:
            return None
        for topic in _FIGURES:
            found = topic(scan, at)
            if found is not None:
                return found
        return (
            self._ordinal(at) or maths.over(scan, at) or self._feet(at) or self._list(at)
            or self._number(at)
        )  # fmt: skip

    def _ordinal(self, at: int) -> Reading | None:
        found = _ORDINAL.match(self._text, at)
        if found is None or not self._language.has("ordinals"):
            return None
        value = int(found[1].replace(",", ""))
        if len(str(value)) > numbers.MOST_DIGITS or found[2] != _suffix(value):
            return None
        return Reading(found.end(), numbers.ordinal_words(value, self._language), "ordinal")

    def _feet(self, at: int) -> Reading | None:
        """Read feet and inches, which look like minutes and seconds: `5′ 6″`."""
        found = _FEET.match(self._text, at)
        if found is None or (found[2] is None and found[0][len(found[1])] != "′"):
            return None
        feet, inches = found[1], found[2]
        if not self._language.has("units"):
            return None
        words, other = [], []
        for figure, unit, angle in (
            (feet, "ft", "minute_of_angle"), (inches, "in", "second_of_angle"),
        ):  # fmt: skip
            if figure is not None:
                name = self._language.units[unit]
                value = numbers.whole_words(int(figure), self._language)
                words.append(f"{value} {name.one if figure == '1' else name.many}")
                other.append(f"{value} {self._language.pair(angle, one=figure == '1')}")
        doubt = self._scan.doubt(at, found.end(), ("", " ".join(words)), ("", " ".join(other)))
        return Reading(found.end(), " ".join(words), "measure", (doubt,))

    def _list(self, at: int) -> Reading | None:
        """Read figures with commas and no blanks: `2,4,6`."""
        found = _LIST.match(self._text, at)
        if found is None or self._language.tag != "en":
            return None
        items = (numbers.number_at(one, 0, self._language) for one in found[0].split(","))
        return Reading(found.end(), ", ".join(self._scan.words_of(n) for n in items if n), "list")

    def _number(self, at: int) -> Reading | None:
        text, number = self._text, self._scan.number(at)
        if number is None or len(number.whole) > numbers.MOST_DIGITS:
            return None
        end = number.end
        following = text[end : end + 1]
        if following and following in ".,:/⁄" and text[end + 1 : end + 2].isdigit():
            return None
        if following.isalpha() and maths.letters(self._scan, end) is None:
            return None
        if following == "_":
            return None
        words = self._scan.words_of(number)
        written = text[at:end]
        doubts: tuple[Doubt, ...] = ()
        is_sum = self._scan.beside_operator(at, end)
        if _MAYBE_YEAR.fullmatch(written) and not is_sum and following not in tuple(_FIGURE_START):
            return self._maybe_year(at, end, words)
        spaced = re.compile(r"[1-9]\d{0,2}(?: \d{3})+(?![\w,./]*\d)", re.ASCII).match(text, at)
        if spaced and not number.places and not is_sum and not _is_listed(text, spaced):
            whole = numbers.whole_words(int(spaced[0].replace(" ", "")), self._language)
            apart = " ".join(
                numbers.whole_words(int(one), self._language) for one in spaced[0].split()
            )
            doubts = (self._scan.doubt(at, spaced.end(), ("", whole), ("", apart)),)
            return Reading(spaced.end(), whole, "number", doubts)
        return Reading(end, words, "number", doubts)

    def _maybe_year(self, at: int, end: int, words: str) -> Reading:
        """Read four figures that may be a year: as one after "in" and the like."""
        scan, written = self._scan, self._text[at:end]
        if not self._language.has("calendar"):
            return Reading(end, words)
        year = dates.year_words(written, self._language)
        before = scan.word_before(at)
        after = scan.word_after(end)
        if before == "year" or before in {
            m.lower() for m in self._language.table("calendar")["months"]
        }:
            return Reading(end, year, "date")
        choices = [("number", words), ("year", year)]
        if before in self._language.table("calendar")["year_words"] and not (
            after.islower()
            and after.endswith("s")
            and after not in {"was", "is", "as", "his", "this"}
        ):
            choices.reverse()
        return Reading(end, choices[0][1], "date", (scan.doubt(at, end, *choices),))

    def _letters(self, at: int, *, begins: bool) -> Reading | None:
        scan, text = self._scan, self._text
        if begins:
            found = (
                abbreviations.read(scan, at) or dates.read_era(scan, at)
                or dates.read_month(scan, at) or codes.read_letters(scan, at)
                or maths.function_of(scan, at) or maths.over(scan, at)
            )  # fmt: skip
            if found is not None:
                return found
            word = _WORD.match(text, at)
            if word is not None and (found := self._word(at, word)) is not None:
                return found
        found = maths.letters(scan, at)
        if found is not None or begins:
            return found
        return None

    def _word(self, at: int, word: re.Match[str]) -> Reading | None:
        scan, text, language = self._scan, self._text, self._language
        written, end = word[0], word.end()
        if written == "x" and (found := self._cross(at)) is not None:
            return found
        days = language.table("calendar").get("days", {})
        if written in days and (re.match(r"\.? \d", text[end:]) or text[end : end + 1] == "."):
            stop = end + (text[end : end + 1] == "." and text[end + 1 : end + 2] == " ")
            return Reading(stop, days[written], "abbreviation")
        alone = measures.unit_at(scan, at)
        if alone is not None and text[at : alone[2]] in language.table("units").get(
            "lists", {}
        ).get("alone", ()):
            factors, divisors, unit_end, _ = alone
            if text[unit_end : unit_end + 1] not in {"-", "’", "'"}:
                words = measures.unit_words(scan, factors, divisors)
                return Reading(unit_end, words, "measure")
        if written.isupper():
            numeral = roman.read(scan, at)
            if numeral is not None:
                return numeral
            quantity = maths.letters(scan, at)
            if quantity is not None:
                return quantity
            if (found := abbreviations.initialism(scan, at, written)) is not None:
                return found
        if written in {"A", "a"} and self._is_letter_a(at, written):
            return Reading(end, marked(LETTER_A, written), "letters")
        return None

    def _cross(self, at: int) -> Reading | None:
        """Read the letter x between two figures, where × is meant."""
        before, after = self._text[:at].rstrip(" \u00a0"), self._text[at + 1 :].lstrip(" \u00a0")
        if not (before[-1:].isdigit() and after[:1].isdigit()) or len(before) == at:
            return None
        times = self._language.table("signs")["×"]
        doubt = self._scan.doubt(at, at + 1, ("", times), ("", "x"))
        return Reading(at + 1, times, "sign", (doubt,))

    def _is_letter_a(self, at: int, written: str) -> bool:
        text = self._text
        following = text[at + 1 : at + 2]
        if following in {"'", "’", "-"}:
            return False
        before = self._scan.word_before(at)
        after_name = before in self._language.table("letters").get("before", ())
        if written == "a":
            closes = not text[at + 1 :].strip() or following in {",", ".", ";", "?", "!"}
            return closes and bool(before) and following != "."
        if text[:at].strip(" \u00a0\"“‘'("):
            return after_name or not re.search(r"[.?!:]['\"”’)]*\s*$", text[:at])
        return following in {",", ";"} and False

    def _sign(self, at: int, sign: str) -> Reading | None:
        scan = self._scan
        if sign in {"(", ")"}:
            return pairs.read_point(scan, at) if self._is_point(at) else maths.bracket(scan, at)
        if (found := maths.root(scan, at)) is not None:
            return found
        if (found := maths.sign_words(scan, at)) is not None:
            return found
        if self._text[at - 1 : at].strip() and (found := maths.power(scan, at)) is not None:
            return found
        if sign in "#№" and (found := abbreviations.read(scan, at)) is not None:
            return found
        table = self._language.table("lone_signs")
        if sign in table and not (sign in _MONEY_START and self._text[at + 1 : at + 2].isdigit()):
            return Reading(at + 1, table[sign], "sign")
        return None

    def _is_point(self, at: int) -> bool:
        if self._text[at] != "(" or maths.function_of(self._scan, at - 1):
            return False
        return pairs.read_point(self._scan, at) is not None

    # ---- what nobody reads

    def _unread(self, at: int) -> int:
        """Say a plain sign or word as it is, or report what has no words; return where to go on."""
        text, sign = self._text, self._text[at]
        if _is_figure(sign) or (sign.isalpha() and at and _is_figure(text[at - 1])):
            return self._refuse_token(at)
        if sign.isalpha():
            word = _WORD.match(text, at)
            end = word.end() if word else at + 1
            while not _is_word(text[at:end]):
                end -= 1
            if _is_figure(text[end : end + 1]) and self._reading(end) is None:
                return self._refuse_token(at)
            self._out.append(text[at:end])
            self._was_read = False
            return end
        if sign in _QUIET or (
            unicodedata.category(sign) in {"Mn", "Mc", "Cf", "Zs"} and sign not in MARKS
        ):
            if sign == "-" and self._was_read and text[at + 1 : at + 2].isdigit():
                return self._refuse_token(at)
            self._out.append(sign)
            self._was_read = False
            return at + 1
        if sign.isspace():
            self._out.append(" ")
            self._was_read = False
            return at + 1
        return self._refuse_sign(at, sign)

    def _refuse_token(self, at: int) -> int:
        start = max(self._text.rfind(blank, 0, at) for blank in " \n\u00a0") + 1
        found = _TOKEN.match(self._text, start)
        token = found[0] if found else self._text[at]
        core = token.strip(_TRIM) or token
        first = start + token.find(core)
        here = self._where(first, len(core))
        self._problems.error(
            here, f"there are no words for ‘{core}’ yet",
            _hint(core, 'say="…"', whole=here.length == len(core)), code="wording-none",
        )  # fmt: skip
        self._out.append(self._text[at : start + len(token)])
        self._was_read = False
        return max(at + 1, start + len(token))

    def _refuse_sign(self, at: int, sign: str) -> int:
        found = _TOKEN.match(self._text, at)
        token = found[0] if found else sign
        here = self._where(at, 1)
        name = unicodedata.name(sign, "a sign without a name").lower()
        self._problems.error(
            here, f"there are no words for the sign ‘{sign}’ ({name})",
            _hint(token.strip(_TRIM) or sign, 'say="…"', whole=here.length == 1),
            code="wording-none",
        )  # fmt: skip
        self._out.append(token if sign not in MARKS else "")
        self._was_read = False
        return at + len(token)

    def _warn(self, doubt: Doubt) -> None:
        core = self._text[doubt.start : doubt.end]
        here = self._where(doubt.start, len(core))
        first, *others = (unmarked(choice.words) for choice in doubt.choices)
        also = " or ".join(f"“{words}”" for words in others)
        hint = f"write {' or '.join(choice.typed for choice in doubt.choices)}"
        if here.length != len(core):
            hint = "write it in words here"
        self._problems.warn(
            here, f"‘{core}’ is read “{first}”, but it may be {also}", unmarked(hint),
            code="wording-ambiguous",
        )  # fmt: skip


def _is_word(text: str) -> bool:
    return len(text) == 1 or all(sign.isalpha() or sign in "'’" for sign in text)


def _is_figure(sign: str) -> bool:
    return bool(sign) and (
        sign.isdigit() or sign in _FIGURE_START or unicodedata.category(sign) in {"Nd", "Nl", "No"}
    )


def _is_listed(text: str, found: re.Match[str]) -> bool:
    return text[: found.start()].rstrip().endswith(",") or text[found.end() :].startswith(",")


def _suffix(value: int) -> str:
    if value % 100 in {11, 12, 13}:
        return "th"
    return {1: "st", 2: "nd", 3: "rd"}.get(value % 10, "th")


def _hint(core: str, attribute: str, *, whole: bool) -> str:
    """Return what to write; in a field or for an escaped sign (not `whole`) no span can stand."""
    if not whole:
        return "write it in words here"
    return f"write [{core}]{{{attribute}}} with the words to be said"
