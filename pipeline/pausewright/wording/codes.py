"""Code numbers, telephone numbers, and names made of letters and figures: `A4`, `7B`, `M25`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.letters import named
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Doubt, Scan

_PHONE: Final = re.compile(
    r"(?:\+\d{1,3}[ \u00a0-]?)?(?:\(0\)[ \u00a0]?)?\(?(?P<lead>\d{2,5})\)?"
    r"(?:[ \u00a0-]\d{2,8}){1,4}(?![\w.,/–-]*\d)(?![\w°%])",
    re.ASCII,
)
_LOCAL: Final = re.compile(r"[1-9]\d{2}[ \u00a0]\d{4}(?![\w.,:/–-]*\d)(?![\w°%])", re.ASCII)
_LONG: Final = re.compile(r"[1-9]\d{2,9}(?![\w.,:/–-]*\d)(?![\w°%])", re.ASCII)
_GROUPS: Final = re.compile(r"\d{1,7}(?:-\d{1,7}){2,}(?![\w/°%-])(?!\.\d)", re.ASCII)
_ZERO_LED: Final = re.compile(r"0\d+(?![\w.,:/°%]*\d)(?!\w)", re.ASCII)
_LETTERS_FIRST: Final = re.compile(
    r"(?P<letters>[A-Z]{1,4})(?P<mark>-?)(?P<figure>\d{1,6})(?P<last>[A-Z]{0,2})(?![\w/°%])(?!\.\d)",
    re.ASCII,
)
_FIGURE_FIRST: Final = re.compile(
    r"(?P<figure>\d{1,4})(?P<letters>[A-Z]{1,3}|[a-h])(?P<more>\d*)(?![\w/°%²³₀-₉])", re.ASCII
)
_CHEMICAL: Final = re.compile(r"\d*(?:[A-Z][a-z]?[₀-₉]*){1,8}(?![\w])")
_DOWN: Final = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")


def phone_words(scan: Scan, written: str) -> str:
    """Return a telephone number in words, its groups parted by commas."""
    zero = "zero" if scan.zero == "zero" else "oh"
    repeated = scan.style("repeated-digits")
    head = ""
    if written.startswith("+"):
        head, written = f"{scan.language.word('plus')} ", written[1:]
    return head + numbers.digits(written, zero, repeated=repeated, language=scan.language)


def code_words(scan: Scan, written: str) -> str:
    """Return digits one by one, in words, and letters by their names."""
    zero = "zero" if scan.zero == "zero" else "oh"
    return named(numbers.digits(written, zero, language=scan.language))


def read(scan: Scan, at: int) -> Reading | None:
    """Read a telephone number, or figures that begin with a nought."""
    if scan.language.tag != "en":
        return None
    phone = _PHONE.match(scan.text, at)
    if phone and (phone["lead"][0] == "0" or phone[0][0] == "+"):
        words = phone_words(scan, phone[0])
        code = code_words(scan, phone[0].lstrip("+"))
        doubt = scan.doubt(at, phone.end(), ("phone", words), ("code", code))
        return Reading(phone.end(), words, "code", (doubt,))
    if (found := _local_phone(scan, at) or _named_code(scan, at)) is not None:
        return found
    groups = _GROUPS.match(scan.text, at)
    if groups:
        words = code_words(scan, groups[0])
        plain = numbers.digits(groups[0], "zero", language=scan.language)
        joined = plain.replace(", ", " hyphen ")
        doubt = scan.doubt(at, groups.end(), ("code", words), ("", joined))
        return Reading(groups.end(), words, "code", (doubt,))
    zero_led = _ZERO_LED.match(scan.text, at)
    if zero_led:
        words = code_words(scan, zero_led[0])
        number = numbers.whole_words(int(zero_led[0]), scan.language)
        doubt = scan.doubt(at, zero_led.end(), ("code", words), ("number", number))
        return Reading(zero_led.end(), words, "code", (doubt,))
    return _figure_first(scan, at)


def _local_phone(scan: Scan, at: int) -> Reading | None:
    """Read `307 4922`: three figures and four, as telephone numbers are written."""
    found = _LOCAL.match(scan.text, at)
    if found is None:
        return None
    words = phone_words(scan, found[0])
    apart = " ".join(numbers.whole_words(int(one), scan.language) for one in found[0].split())
    doubt = scan.doubt(at, found.end(), ("phone", words), ("", apart))
    return Reading(found.end(), words, "code", (doubt,))


def _named_code(scan: Scan, at: int) -> Reading | None:
    """Read figures after "room", "code" and the like."""
    found = _LONG.match(scan.text, at)
    if found is None or scan.word_before(at) not in scan.language.listed("codes"):
        return None
    words = code_words(scan, found[0])
    number = numbers.whole_words(int(found[0]), scan.language)
    doubt = scan.doubt(at, found.end(), ("code", words), ("number", number))
    return Reading(found.end(), words, "code", (doubt,))


def _figure_first(scan: Scan, at: int) -> Reading | None:
    """Read `7B` and `3D`."""
    found = _FIGURE_FIRST.match(scan.text, at)
    if found is None or scan.beside_operator(at, found.end()):
        return None
    letters = " ".join(found["letters"].upper())
    words = f"{numbers.whole_words(int(found['figure']), scan.language)} {letters}"
    if found["more"]:
        words += f" {numbers.whole_words(int(found['more']), scan.language)}"
    return Reading(found.end(), named(words), "code")


def read_letters(scan: Scan, at: int) -> Reading | None:
    """Read a code that begins with letters: `A4`, `B12`, `M25`, `A303`."""
    if scan.language.tag != "en":
        return None
    found = _LETTERS_FIRST.match(scan.text, at)
    if found is None:
        return chemical(scan, at)
    letters, figure = " ".join(found["letters"]), found["figure"]
    last = " " + " ".join(found["last"]) if found["last"] else ""
    value = numbers.whole_words(int(figure), scan.language)
    digits = numbers.digits(figure, "oh", language=scan.language)
    if len(figure) <= 2 and (figure[0] != "0"):
        return Reading(found.end(), named(f"{letters} {value}{last}"), "code")
    words = [named(f"{letters} {digits}{last}"), named(f"{letters} {value}{last}")]
    doubts: tuple[Doubt, ...] = ()
    if len(figure) < 5 and figure[0] != "0":
        doubts = (scan.doubt(at, found.end(), *(("", w) for w in words)),)
    return Reading(found.end(), words[0], "code", doubts)


def chemical(scan: Scan, at: int) -> Reading | None:
    """Read `H₂O`: letters and figures in their order."""
    if scan.language.tag != "en":
        return None
    found = _CHEMICAL.match(scan.text, at)
    if found is None or not re.search("[₀-₉]", found[0]):
        return None
    words = []
    for piece in re.findall(r"\d+|[A-Z]|[a-z]|[₀-₉]+", found[0]):
        figure = piece.translate(_DOWN)
        if figure.isdigit():
            words.append(numbers.whole_words(int(figure), scan.language))
        else:
            words.append(piece.upper())
    return Reading(found.end(), named(" ".join(words)), "code")
