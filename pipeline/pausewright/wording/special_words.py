"""Words and letters that are not said as they are written: which topic reads them."""

from __future__ import annotations

import re
from typing import Final

from pausewright.wording import (
    abbreviations,
    arithmetic,
    chemistry,
    codes,
    dates,
    formula_brackets,
    maths,
    money,
    music,
    roman,
    units,
    web,
)
from pausewright.wording.formula_marks import CLOSE
from pausewright.wording.letters import LETTER_A, marked, named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import LETTER, Reading, Scan

WORD: Final = Late(rf"{LETTER}+(?:['’]{LETTER}+)*")


def read(scan: Scan, at: int, *, begins: bool) -> Reading | None:
    """Read the word or letters at `at`; `begins` says that no letter or figure stands before."""
    text = scan.text
    if begins:
        if (rate := _after_per(scan, at)) is not None:
            return rate
        if text[at] in "IVXiv" and (degrees := roman.series(scan, at)) is not None:
            return degrees
        if text[at] in "IV" and scan.mentions("progressions") and (chord := roman.read(scan, at)):
            return chord
        found = (
            web.read(scan, at)
            or music.note(scan, at)
            or dates.read_era(scan, at)
            or abbreviations.read(scan, at)
            or chemistry.read(scan, at)
            or maths.derivative(scan, at)
            or maths.mapping(scan, at)
            or maths.accented(scan, at)
            or dates.read_era(scan, at)
            or dates.read_month(scan, at)
            or money.read_code(scan, at)
            or codes.read_letters(scan, at)
            or _unit_alone(scan, at)
            or formula_brackets.function_of(scan, at)
            or maths.over(scan, at)
        )
        if found is not None:
            return found
        word = WORD.match(text, at)
        if word is not None and (found := _word(scan, at, word)) is not None:
            return found
    joined = text[at].isupper() and not text[at - 1 : at].isalpha()
    return (chemistry.read(scan, at) if joined else None) or maths.letters(scan, at)


def _word(scan: Scan, at: int, word: re.Match[str]) -> Reading | None:
    text, language = scan.text, scan.language
    written, end = word[0], word.end()
    if written == "x" and (found := _cross(scan, at)) is not None:
        return found
    if written in {"C", "F"} and re.search(r"\bdegrees? $", text[:at]):
        return Reading(end, "Celsius" if written == "C" else "Fahrenheit", "measure")
    if written == "m" and text[end : end + 1] == "∠" and (table := language.table("formula")):
        return Reading(end, f"{table['measure']} ", "letters")
    if (gapped := _gapped(scan, at)) is not None:
        return gapped
    if (snake := _SNAKE.match(text, at)) is not None and (names := language.table("web")):
        said = f" {names.get('_', '_')} ".join(snake[0].split("_"))
        if said.replace(" ", "").isalpha():
            return Reading(snake.end(), said, "address")
    if (letters := _SPELLED_SMALL.match(text, at)) is not None and text[at - 1 : at] != "-":
        return Reading(letters.end(), named(letters[0].replace("-", ", ")), "letters")
    if (
        written == "no"
        and re.match(r" \d", text[end : end + 2])
        and scan.word_before(at) in language.listed("codes", "numbered")
    ):
        return Reading(end, language.word("number"), "word")
    if (ratio := _letters_in_ratio(scan, at)) is not None:
        return ratio
    if (numeral := roman.read_small(scan, at)) is not None:
        return numeral
    if (
        (written == "r" or (written == "R" and (scan.is_formula or scan.mentions("divisions"))))
        and re.search(r"\d $", text[:at])
        and re.match(r" \d", text[end:])
    ):
        return Reading(end, language.word("remainder") or written, "word")
    if (month := _month(scan, at, end, written)) is not None:
        return month
    if (genes := _genes(scan, at, written)) is not None:
        return genes
    if (rate := _after_per(scan, at)) is not None:
        return rate
    days = language.table("calendar").get("days", {})
    if written in days and _is_day(scan, at, end, days):
        stop = end + (
            text[end : end + 1] == "." and text[end + 1 : end + 2] in {" ", ",", "–", "-", "/"}
        )
        return Reading(stop, days[written], "abbreviation")
    if written.isupper():
        numeral = roman.read(scan, at)
        if numeral is not None:
            return numeral
        quantity = maths.letters(scan, at)
        if quantity is not None:
            return quantity
        if (found := abbreviations.initialism(scan, at, written)) is not None:
            return found
    if (owner := re.fullmatch(r"([A-Z]{1,12})['’]s", written)) is not None:
        numeral = roman.read(scan, at)
        return numeral or abbreviations.initialism(scan, at, owner[1])
    if (plural := re.fullmatch(r"([A-Z]{2,})s", written)) is not None:
        found = abbreviations.initialism(scan, at, plural[1])
        if found is not None:
            return found
    if written in language.listed("unread", "letters") or (
        written == "WHO" and scan.word_before(at) == "the"
    ):
        return Reading(end, named(" ".join(written.upper())), "letters")
    if written in language.table("dynamics") and (
        written not in {"pp", "mp", "mf", "ff", "fp", "sf"}
        or scan.mentions("music")
        or scan.mentions("loudness")
        or len(_dynamics(scan)) > 1
    ):
        return Reading(end, language.table("dynamics")[written], "word")
    if written in language.table("dynamics"):
        return Reading(end, named(" ".join(written)), "letters")
    if written in {"A", "a"} and _is_letter_a(scan, at, written):
        return Reading(end, marked(LETTER_A, written), "letters")
    return None


_GAPPED: Final = Late(r"(?=[A-Za-z_]{3,16}(?![\w]))[A-Za-z]+(?:_+[A-Za-z]+)+|[A-Za-z]{2,}_+(?!\w)")


_NAMED_INDEX: Final = Late(r"_(?:max|min|av|avg|rms|in|out|total|rel)$")


def _gapped(scan: Scan, at: int) -> Reading | None:
    """Read a word with a letter left out: `b_ttle` beside words of spelling."""
    found = _GAPPED.match(scan.text, at)
    blank = scan.language.table("web").get("blank")
    if found is None or not blank or scan.is_formula or scan.mentions("passwords"):
        return None
    if not scan.mentions("spelling") or _NAMED_INDEX.search(found[0]):
        return None
    pieces = re.findall("[A-Za-z]|_+", found[0])
    said = ", ".join(blank if one[0] == "_" else one.upper() for one in pieces)
    return Reading(found.end(), named(said), "letters")


def _letters_in_ratio(scan: Scan, at: int) -> Reading | None:
    """Read `A:B` and `x:y:z` where the sentence speaks of ratios or equates them."""
    named_parts = _NAMED_RATIO.match(scan.text, at) if scan.mentions("ratios") else None
    if named_parts is not None and (to := scan.language.word("to")):
        return Reading(named_parts.end(), named_parts[0].replace(":", f" {to} "), "ratio")
    found = _RATIO.match(scan.text, at)
    to = scan.language.word("to")
    if found is None or not to or not (scan.is_formula or scan.mentions("ratios")):
        return None
    return Reading(
        found.end(), named(f" {to} ".join(" ".join(one) for one in found[0].split(":"))), "ratio"
    )


_NAMED_RATIO: Final = Late(r"[a-z]{2,}(?::[a-z]{2,}){1,2}(?![\w:/])")
"""What the parts of a ratio are: `red:blue`."""
_SNAKE: Final = Late(r"[a-z]{2,}(?:_[a-z]{2,})+(?![\w])")
_SPELLED_SMALL: Final = Late(r"[a-z](?:-[a-z]){2,}(?![\w-])")
_RATIO: Final = Late(r"(?:[a-z](?::[a-z]){1,2}|[A-Z]{1,3}(?::[A-Z]{1,3}){1,2})(?![\w:])")


def _dynamics(scan: Scan) -> set[str]:
    """Return the marks of loudness that a text holds."""
    return set(re.findall(r"(?<!\w)(?:p{1,3}|m[pf]|f{1,3}|s?fz|sfp?)(?!\w)", scan.text))


def _unit_alone(scan: Scan, at: int) -> Reading | None:
    """Read a unit without a figure: after a formula, or one that is nothing else."""
    alone = units.unit_at(scan, at) if scan.language.has("units") else None
    if alone is not None and scan.is_formula and scan.sign_before(at) in {"=", "+", "−"}:
        return None
    if alone is None or not (_follows_formula(scan, at) or _is_alone(scan, at, alone)):
        return None
    factors, divisors, unit_end, number = alone
    if re.fullmatch(r"[A-Z]{2}", scan.text[at:unit_end]) and scan.mentions("geometry"):
        return None  # the tangent TB
    if scan.text[unit_end : unit_end + 1] in {"-", "’", "'"}:
        return None
    one = scan.word_before(at) in {"per", "a", "each", "every", "one"}
    unit_end += _is_dotted(scan, unit_end) and scan.text[at:unit_end] != "in"
    return Reading(
        unit_end, units.unit_words(scan, factors, divisors, one=one, per=number), "measure"
    )


def _follows_formula(scan: Scan, at: int) -> bool:
    """Say whether a formula stands right before the unit."""
    if scan.text[max(0, at - 2) : at].strip(" \u00a0") != CLOSE:
        return False
    word = WORD.match(scan.text, at)
    return word is None or word[0] not in scan.language.listed("maths", "little_words")


def _is_alone(
    scan: Scan, at: int, unit: tuple[list[units.Term], list[units.Term], int, str]
) -> bool:
    """Say whether letters without a figure are a unit and can be nothing else."""
    factors, divisors, end, _ = unit
    written = scan.text[at:end]
    if scan.text[at - 1 : at] in {"/", "-"}:
        return False
    if written in scan.language.table("units").get("lists", {}).get("alone", ()):
        return True
    before = scan.word_before(at)
    if (
        re.search(r"(?<![A-Za-z\d])\d+\+ $", scan.text[max(0, at - 6) : at])
        and written != "in"
        and (len(written) > 1)
    ):
        return True
    if before in scan.language.listed("amounts", "words"):
        return not factors[0].unit.doubtful
    if before in scan.language.listed("amounts", "ones"):
        return len(written) > 1 and not factors[0].unit.doubtful
    if (
        before in {"a", "an"}
        and re.match(r"\.? of ", scan.text[end : end + 5])
        and len(written) > 1
    ):
        return written in scan.language.table("units")["plain"]
    if before == "a" and written in {"gal", "qt", "pt", "lb", "oz", "yd", "mi", "hr", "min", "sec"}:
        return bool(re.match(r"\.(?: [a-z]|$)|$|[ ](?:is|has|of|or|and|equals)\b", scan.text[end:]))
    if written == "in" and before in {"many", "of"} and _is_dotted(scan, end):
        return True
    if scan.decide("unit_alone", at, end) is not None:
        return True
    if re.fullmatch(r"[A-Z]{2}", written) and scan.word_before(at) not in {
        "in",
        "of",
        "per",
        "many",
        "to",
        "into",
    }:
        return False  # the line TB
    if re.fullmatch(r"[A-Z](?:/[A-Z])+", written):
        return False  # "A/B/C"
    compound = bool(divisors) or any(one.exponent != 1 for one in factors)
    return compound and len(written) > 3 and not scan.beside_operator(at, end)


def _is_dotted(scan: Scan, end: int) -> bool:
    """Say whether a full stop stands there and the sentence goes on in small letters."""
    return re.match(r"\.[ \u00a0][a-z]", scan.text[end : end + 3]) is not None


_IN_MONTH: Final = Late(
    r"(?:\b[Mm]id-|\b[Ee]arly |\b[Ll]ate |(?:end|start|beginning|middle) of |\b[Ii]n (?=$))$"
)
"""After one of these the short name of a month is one."""


def _month(scan: Scan, at: int, end: int, written: str) -> Reading | None:
    """Read a month short of its name beside another, or with a full stop: Jan–Mar, in Sept."""
    calendar = scan.language.table("calendar")
    short = [*calendar.get("short_months", ()), *(["Sept"] if calendar else ())]
    if written not in short:
        return None
    rest = scan.text[end:]
    names = "|".join(sorted({*short, *calendar["months"]}, key=len, reverse=True))
    brief = "|".join(one for one in sorted(short, key=len, reverse=True) if one != "May")
    beside = (
        re.match(rf"\.?[–-](?:{names})(?!\w)", rest)
        or re.match(rf"\.?(?:, | and | or | to |/)(?:{brief})(?!\w)", rest)
        or re.search(rf"(?<!\w)(?:{names})\.?[–-]$", scan.text[:at])
        or re.search(rf"(?<!\w)(?:{brief})\.?(?:, | and | or | to |/)$", scan.text[:at])
    )
    dotted = rest[:1] == "." and written != "May"
    beside = beside or re.match(r"\.? ['’‘]\d\d(?!\d)", rest)
    if written not in {"May", "Mar"}:
        beside = beside or _IN_MONTH.search(scan.text[:at])
    if not beside and not dotted:
        return None
    month = next(i for i, one in enumerate(calendar["short_months"]) if written.startswith(one))
    ends = dotted and not rest[1:].strip("\"”’') ")
    stop = end + (rest[:1] == "." and not ends)
    return Reading(stop, calendar["months"][month], "abbreviation")


def _is_day(scan: Scan, at: int, end: int, days: dict[str, str]) -> bool:
    """Say whether letters are short for a day: a figure, stop or other day stands beside."""
    rest = scan.text[end:]
    if scan.text[at:end] in {"Sun", "Sat"} and rest[:1] == "." and not rest[1:].strip("\"”’') "):
        before = scan.word_before(at)
        return bool(
            before in {"on", "every", "by", "until", "till", "next", "last", "this", "each", "from"}
            or re.search(
                rf"(?<!\w)(?:{'|'.join(days)})\.?,?(?:[–-]| (?:and|or|to|&) )$", scan.text[:at]
            )
        )
    if (
        (rest[:1] == ":" and scan.text[at:end] not in {"Sun", "Sat"})
        or re.match(r"\.? @ ?\d|\.? \d|, \d{1,2}(?:(?:st|nd|rd|th)? [A-Z]|[.:]\d\d)", rest)
        or rest[:1] == "."
    ):
        return True
    names = "|".join(days)
    return bool(
        re.match(rf"(?:[–-]|, ?| and | or | to | & |/)(?:{names})(?!\w)", rest)
        or re.search(rf"(?<!\w)(?:{names})\.?(?:[–-]|, ?| and | or | to | & |/)$", scan.text[:at])
        or (
            re.search(r"(?:\bon|\bevery|\bby|\buntil|\d,) $", scan.text[:at])
            and not re.match(r" (?:the|down|on|in|at)\b", rest)
            and scan.text[at:end] not in {"Sat", "Sun"}
        )
    )


def _genes(scan: Scan, at: int, written: str) -> Reading | None:
    """Read a pair of alleles, whose case carries the meaning: `Bb`, `bb`."""
    language = scan.language
    if not scan.mentions("genetics"):
        return None
    if len(written) == 1 and written not in "AaIi":
        other = written.swapcase()
        if re.search(rf"(?<![\w’']){other}(?![\w’'])", scan.text) is None:
            return None
        size = language.word("capital" if written.isupper() else "small")
        return Reading(at + 1, named(f"{size} {written}"), "letters") if size else None
    if len(written) != 2 or written[0].lower() != written[1].lower():
        return None
    if written in language.table("units").get("plain", {}) or not language.word("capital"):
        return None
    said = (f"{language.word('capital' if s.isupper() else 'small')} {s}" for s in written)
    return Reading(at + 2, named(" ".join(said)), "letters")


def _after_per(scan: Scan, at: int) -> Reading | None:
    """Read a unit after "per": "per kilogram"."""
    per = scan.language.word("per")
    by_the = per and re.search(r"\bby the $", scan.text[max(0, at - 7) : at])
    if not per or not (by_the or scan.word_before(at) == per):
        return None
    found = units.unit_at(scan, at)
    if found is None:
        return None
    factors, divisors, end, _ = found
    if end - at == 1 and (by_the or scan.text[at] not in "hgsmlLJWNVACK"):
        return None
    if scan.text[end : end + 1] == "." and re.match(r"\.[ \u00a0][a-z]", scan.text[end : end + 3]):
        end += 1
    return Reading(end, units.unit_words(scan, factors, divisors, one=True), "measure")


def _cross(scan: Scan, at: int) -> Reading | None:
    """Read the letter x between two figures, where × is meant."""
    before, after = scan.text[:at].rstrip(" \u00a0"), scan.text[at + 1 :].lstrip(" \u00a0")
    same = re.search(r"(?<!\w)([a-z])$", before)
    if same and re.match(rf"{same[1]}(?!\w)", after) and len(before) < at and same[1] != "x":
        return Reading(at + 1, scan.language.table("signs")["×"], "sign")
    ends = before[-1:].isdigit() or before[-1:] in "½¼¾⅓⅔⅛⅜⅝⅞" or _ends_with_unit(scan, before)
    if not (ends and after[:1].isdigit()) or len(before) == at:
        return None
    if arithmetic.is_size(scan, at):
        return Reading(at + 1, scan.language.word("by"), "sign")
    return Reading(at + 1, scan.language.table("signs")["×"], "sign")


def _ends_with_unit(scan: Scan, before: str) -> bool:
    found = re.search(rf"\d[ \u00a0]?({LETTER}+)$|\d['\"′″’”]$", before)
    return found is not None and (found[1] is None or found[1] in scan.language.units)


def _is_letter_a(scan: Scan, at: int, written: str) -> bool:
    text = scan.text
    following = text[at + 1 : at + 2]
    if following in {"'", "’", "-"}:
        return False
    names = scan.language.table("letters").get("before", ())
    if not names:  # in other languages a lone a is a word of its own (Spanish: "a las dos")
        return False
    before = scan.word_before(at)
    after_name = before in names
    if written == "a":
        if re.match(r" (?:and|or) [a-z](?!\w)", text[at + 1 :]):
            return True
        if not text[at + 1 :].strip():  # the text may go on in a span
            return after_name
        return following in {",", ";", "?", "!"} and bool(before)
    if text[:at].strip(" \u00a0\"“‘'("):
        return after_name or not re.search(r"[.?!:]['\"”’)]*\s*$", text[:at])
    return scan.word_after(at + 1) in scan.language.listed("letters", "after")
