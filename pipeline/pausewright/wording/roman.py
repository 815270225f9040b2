"""Roman numerals: `Henry VIII`, `World War II`, `Part IV`, `scene ii`, `pages ix–xi`, `2(iii)`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_ROMAN: Final = Late(
    r"(?=[IVXLCDM])M{0,3}(?:CM|CD|D?C{0,3})(?:XC|XL|L?X{0,3})(?:IX|IV|V?I{0,3})(?:(?=7[abcd]?(?!\w))|"
    r"(?=[’']s(?!\w))|(?![\w’']))"
)
_SMALL: Final = Late(r"(?=[ivxlc])(?:xc|xl|l?x{0,3})(?:ix|iv|v?i{0,3})(?![\w’'])")
_LABEL: Final = Late(r"\((?P<numeral>x?(?:ix|iv|v?i{0,3})|x{1,3})\)")
_SERIES: Final = Late(
    r"(?:[IVXivx]+7?[abcd]?(?:[–-]|[ ]–[ ])){2,}[IVXivx]+7?[abcd]?(?![\w’'-])|"
    r"(?=[IVXivx]+(?:7|[abcd])|"
    r"[IVXivx]+[–-][IVXivx]+[abcd7])[IVXivx]+7?[abcd]?[–-][IVXivx]+7?[abcd]?(?![\w’'-])"
)
"""Chords by their degrees: `I–V–vi–IV`."""
_PLOTTED: Final = Late(r"[IV][–-][IV][ ](?:curve|curves|graph|graphs|characteristics?|plot)")
"""Current against voltage, no chords."""
_REFERENCE: Final = Late(r"([IVX]+\.[ivx]+)\.(\d+)(?!\w)")
_SMALL_LIST: Final = Late(r"(?<!\w)i(?:,| and| or)(?: and| or)? ii(?!\w)")
_VALUES: Final = {"I": 1, "V": 5, "X": 10, "L": 50, "C": 100, "D": 500, "M": 1000}
_ORDINALLY: Final = Late(
    r"[ \u00a0](?:Olympi\w+|Legion|Corps|Army|Congress|Dynasty|century|centuries|legion|dynasty|"
    r"corps|"
    r"army|Winter|Summer|Conference|Assembly|Amendment|Reich|Crusade|International|edition|"
    r"form)(?!\w)"
)
"""After "the" a numeral before one of these is an ordinal: "the XXI Olympiad"."""
_NAME: Final = Late(r"([A-Z][a-zé]+(?:-[A-Z][a-zé]+)?)[ \u00a0]$")
_SECOND_TITLE: Final = Late(r"([A-Z][a-zé]+) [IVX]+ and $")
"""A ruler of two countries: `James VI and I`."""
_SUM: Final = Late(r"(?<![\w’'])[IVXLC]+ [+−–×÷-] [IVXLC]+(?![\w’'])")
_TITLED: Final = Late(
    r"(?:King|Queen|Pope|Emperor|Empress|Tsar|Czar|Kaiser|Sultan|Pharaoh|Prince|Duke|Popes|Kings)"
    r"[ \u00a0]"
    r"[A-Z][a-zé]+[ \u00a0]$"
)


def value_of(numeral: str) -> int:
    """Return the value of a Roman numeral."""
    values = [_VALUES[sign] for sign in numeral.upper()]
    following = [*values[1:], 0]
    return sum(-v if v < after else v for v, after in zip(values, following, strict=True))


def read(scan: Scan, at: int) -> Reading | None:
    """Read a Roman numeral after a name or a word such as "part"; None where it is none."""
    if not scan.language.has("roman"):
        return None
    found = _ROMAN.match(scan.text, at)
    if found is None or not found[0]:
        return None
    numeral, end = found[0], found.end()
    if scan.text[end : end + 1] == "7":
        if not scan.mentions("progressions"):
            return None
        said = " ".join(numbers.whole_words(one, scan.language) for one in (value_of(numeral), 7))
        turned = scan.text[end + 1 : end + 2]
        if turned in {"a", "b", "c", "d"}:
            return Reading(end + 2, named(f"{said} {turned.upper()}"), "roman")
        return Reading(end + 1, said, "roman")
    if _PLOTTED.match(scan.text, at) or _PLOTTED.match(scan.text, at - 2 if at > 1 else at):
        return None
    if numeral in {"I", "C", "D", "M", "V", "L", "X"} and scan.beside_operator(at, end):
        return None
    value = value_of(numeral)
    if (
        len(numeral) > 1
        and scan.beside_operator(at, end)
        and any(one.start() <= at <= end <= one.end() for one in _SUM.finditer(scan.text))
    ):
        return Reading(end, numbers.whole_words(value, scan.language), "roman")
    count = numbers.whole_words(value, scan.language)
    ordinal = _ordinal(scan, value)
    if (
        scan.text[at - 1 : at] == "("
        and scan.text[end : end + 1] == ")"
        and re.search(r"(?<!Var)(?<!Pr)(?<!Cov)(?<![A-Za-z]E)(?<=[A-Za-z]{2})\($", scan.text[:at])
    ):
        return Reading(end, count, "roman")  # iron(III)
    if (by_ruler := _of_a_ruler(scan, at, end, numeral)) is not None:
        return by_ruler
    reference = _REFERENCE.match(scan.text, at)
    if reference is not None:
        parts = [
            numbers.whole_words(value_of(one), scan.language) for one in reference[1].split(".")
        ]
        parts.append(numbers.whole_words(int(reference[2]), scan.language))
        return Reading(reference.end(), ", ".join(parts), "roman")
    if numeral == "I" and re.match(
        r"(?:,| and| or|–) II(?!\w)|, (?:and|or) II(?!\w)", scan.text[end:]
    ):
        return Reading(end, count, "roman")
    if len(numeral) == 1 and re.search(r"(?<![A-Za-z])[A-Za-z]\($", scan.text[max(0, at - 3) : at]):
        return None
    if (
        len(numeral) > 1
        and scan.word_before(at) == "the"
        and _ORDINALLY.match(scan.text, end)
        and numeral not in {"CD", "DC", "MC", "MD"}
    ):
        return Reading(end, numbers.ordinal_words(value, scan.language), "roman")
    told = scan.decide("roman", at, end)
    if len(numeral) == 1 and (numeral in "LCDM" or (told is not None and _is_geometry(scan, at))):
        return None
    if told is not None and told.reads == "letters":
        return Reading(end, named(" ".join(numeral)), "roman", because=told.told(numeral))
    if told is not None and told.reads == "number":
        if numeral == "I" and _is_pronoun(scan, end):
            return None
        if len(numeral) > 1 or told.cue or scan.text[at - 1 : at] in {"–", "-"}:
            return Reading(end, count, "roman", because=told.told(numeral))
    if (
        scan.text[end : end + 1] in {"–", "-"}
        and _ROMAN.match(scan.text, end + 1)
        and len(numeral) > 0
    ):
        return Reading(end, count, "roman") if numeral != "I" or scan.mentions("music") else None
    if len(numeral) < 2 or scan.is_formula:
        return None
    if set(numeral) - set("IVX") and (len(numeral) < 4 or value < 1000):
        return None
    if len(numeral) > 3 and 1000 <= value <= 2100:
        year = numbers.year(str(value), british=bool(scan.language.table("numbers")["and"]))
        if scan.word_before(at) in {"in", "year", "dated", "date", "from", "of", "©"}:
            return Reading(end, year, "roman")
        letters = named(" ".join(numeral))
        return Reading(end, year, "roman", (scan.doubt(at, end, ("", year), ("", letters)),))
    before = _NAME.search(scan.text[:at])
    if before is None and scan.text[:at].strip() and numeral in {"MI", "DI", "LI", "MIX"}:
        return None
    choices = (
        [("", count), ("", ordinal)]
        if before is not None
        else [("", count), ("", named(" ".join(numeral)))]
    )
    return Reading(end, count, "roman", (scan.doubt(at, end, *choices),))


def series(scan: Scan, at: int) -> Reading | None:
    """Read chords by their degrees, with their inversions: `Ic–V–I`."""
    found = _SERIES.match(scan.text, at) if scan.language.has("roman") else None
    return None if found is None else Reading(found.end(), _degrees(scan, found[0]), "roman")


def _degrees(scan: Scan, written: str) -> str:
    """Return the degrees of a scale that chords stand on: "one, five, six, four"."""
    said = []
    for numeral, seventh, inversion in re.findall(r"([IVXivx]+)(7?)([abcd]?)", written):
        words = numbers.whole_words(value_of(numeral), scan.language)
        words += f" {numbers.whole_words(7, scan.language)}" if seventh else ""
        said.append(f"{words} {inversion.upper()}" if inversion else words)
    return ", ".join(said)


def _ordinal(scan: Scan, value: int) -> str:
    name = numbers.ordinal_words(value, scan.language)
    return f"{scan.language.word('the')} {name[0].upper()}{name[1:]}"


def _of_a_ruler(scan: Scan, at: int, end: int, numeral: str) -> Reading | None:
    """Read a numeral after the name of a ruler, known or titled: "the Eighth"."""
    head = scan.text[max(0, at - 60) : at]
    second = _SECOND_TITLE.search(head)
    if (
        numeral == "I"
        and second is not None
        and second[1] in scan.language.listed("roman", "rulers")
    ):
        ordinal = numbers.ordinal_words(1, scan.language)
        return Reading(end, ordinal[0].upper() + ordinal[1:], "roman")
    name = _NAME.search(head)
    if name is None or scan.text[at - 1] not in " \u00a0":
        return None
    titled = _TITLED.search(head) is not None
    first = name[1].lower()
    is_known = name[1].split("-")[0] in scan.language.listed("roman", "rulers")
    if not (titled or is_known or (len(numeral) > 1 and _speaks_of_rulers(scan, first))):
        return None
    if first in scan.language.listed("roman", "counted"):
        return None
    if len(numeral) == 1 and (numeral not in "IVX" or name[1] == "Malcolm"):
        return None
    if numeral == "I" and _is_pronoun(scan, end) and not titled:
        words = _ordinal(scan, 1)
        return Reading(end, words, "roman", (scan.doubt(at, end, ("", words), ("", "I")),))
    because = f"‘{numeral}’ read as an ordinal: “{name[1]}”: a ruler’s name stands before it"
    return Reading(end, _ordinal(scan, value_of(numeral)), "roman", because=because)


def _is_geometry(scan: Scan, at: int) -> bool:
    """Say whether a letter is that of a line or point, and no numeral."""
    return scan.word_before(at) in scan.language.listed("roman", "lettered")


def _speaks_of_rulers(scan: Scan, name: str) -> bool:
    return scan.mentions("rulers") and name not in scan.language.listed("roman", "counted") | {
        "vatican",
        "apollo",
    }


def _is_pronoun(scan: Scan, end: int) -> bool:
    """Say whether I is the pronoun: a verb that goes with it follows."""
    return scan.word_after(end) in scan.language.listed("roman", "pronoun")


def read_small(scan: Scan, at: int) -> Reading | None:
    """Read a numeral in small letters: `scene ii`, `pp. ix–xi`, `part iv`."""
    found = _SMALL.match(scan.text, at) if scan.language.has("roman") else None
    if found is None or not found[0]:
        return None
    numeral, end = found[0], found.end()
    if (
        scan.text[end : end + 1] == ")"
        and "(" not in scan.text[max(0, at - 3) : at]
        and re.search(r"[a-z]{3,}[ \u00a0]$|^$|(?:and|or|,|;)[ \u00a0]$", scan.text[:at])
        and not scan.is_formula
    ):
        return Reading(end, numbers.whole_words(value_of(numeral), scan.language), "roman")
    in_range = _in_small_range(scan, at, end) or _SMALL_LIST.search(scan.text) is not None
    told = scan.decide("roman", at, end)
    if not in_range and (told is None or told.reads != "number" or not told.cue):
        return None
    single = len(numeral) == 1
    if (
        single
        and numeral != "i"
        and scan.word_before(at) in {"item", "step", "type", "class", "table"}
    ):
        return None
    if (
        single
        and not in_range
        and scan.word_before(at) not in scan.language.listed("roman", "small")
    ):
        return None
    if (
        scan.beside_operator(at, end)
        or scan.text[end : end + 1] in tuple("^²³(")
        or (single and numeral in "lc")
    ):
        return None
    because = told.told(numeral) if told is not None else ""
    return Reading(
        end, numbers.whole_words(value_of(numeral), scan.language), "roman", because=because
    )


def _in_small_range(scan: Scan, at: int, end: int) -> bool:
    """Say whether a dash joins two small numerals, one of them with several letters."""
    after = re.compile(r"[–-]([ivxlc]+)(?!\w)").match(scan.text, end)
    before = re.search(r"(?<!\w)([ivxlc]+)[–-]$", scan.text[max(0, at - 12) : at])
    found = after or before
    if found is None:
        return False
    return len(found[1]) + (end - at) > 2 and _SMALL.fullmatch(found[1]) is not None


def label(scan: Scan, at: int) -> Reading | None:
    """Read the part of a question: `2(iii)`, `part (ii)`, `(i)`."""
    found = _LABEL.match(scan.text, at) if scan.language.has("roman") else None
    if found is None or not found["numeral"]:
        return None
    numeral = found["numeral"]
    before = scan.text[at - 1 : at]
    joined = before.isdigit() or before == ")"
    listed = scan.word_before(at) in scan.language.listed("roman", "counted") | {"and", "to", "or"}
    listed = listed or before.isupper()
    several = len(_LABEL.findall(scan.text)) > 1
    if not (joined or listed or several or len(numeral) > 1):
        return None
    source = re.search(
        r"(?:Source|Figure|Fig\.|Part|Section|Item|Extract|Appendix|Text|Table|Question)[ ][A-Z]$",
        scan.text[max(0, at - 12) : at],
    )
    if source is not None:
        return Reading(
            found.end(), f" {numbers.whole_words(value_of(numeral), scan.language)}", "roman"
        )
    if before.isalpha() and numeral in {"i", "v", "x"}:
        return None
    words = numbers.whole_words(value_of(numeral), scan.language)
    return Reading(found.end(), f" {words}" if joined else words, "roman")
