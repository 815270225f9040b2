"""Abbreviations, titles and initials: `Mr.`, `e.g.`, `No. 5`, `St. Ives`, `J. R. Hill`, `TV`."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording.letters import named
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Scan

_INITIALS: Final = re.compile(r"(?:[A-Z]\.[ \u00a0]?){1,4}(?=[ \u00a0]?[A-Z][a-z])")
_DOTTED: Final = re.compile(r"(?:[A-Za-z]\.){2,6}")
_SPELLED: Final = re.compile(r"[A-Z](?:-[A-Z])+(?![\w-])")
_FIGURE: Final = re.compile(r"[ \u00a0]?\d")


@cache
def _pattern(language: Language, table: str) -> re.Pattern[str]:
    keys = sorted(language.table(table), key=len, reverse=True)
    return re.compile(rf"(?:{'|'.join(map(re.escape, keys))})(?![^\W\d]|/)" if keys else "(?!)")


def read(scan: Scan, at: int) -> Reading | None:
    """Read an abbreviation that begins at `at`, the beginning of a word."""
    before_figure = _pattern(scan.language, "abbreviations_before_figures").match(scan.text, at)
    if before_figure and _FIGURE.match(scan.text, before_figure.end()):
        table = scan.language.table("abbreviations_before_figures")
        joint = "" if scan.text[before_figure.end()].isspace() else " "
        return Reading(before_figure.end(), table[before_figure[0]] + joint, "abbreviation")
    if not scan.text[at].isalpha():
        return None
    return _saint(scan, at) or _known(scan, at) or _initials(scan, at) or _spelled(scan, at)


def figures(scan: Scan, at: int) -> Reading | None:
    """Read figures with a fixed reading: `24/7`."""
    found = _pattern(scan.language, "figures_known").match(scan.text, at)
    if found is None or scan.text[found.end() : found.end() + 1].isdigit():
        return None
    return Reading(found.end(), scan.language.table("figures_known")[found[0]], "abbreviation")


def _known(scan: Scan, at: int) -> Reading | None:
    found = _pattern(scan.language, "abbreviations").match(scan.text, at)
    if found is None or (found[0] == "c." and not _FIGURE.match(scan.text, found.end())):
        return None
    if (
        found[0] in {"min.", "max.", "est.", "Co.", "temp."}
        and not scan.text[found.end() :].strip()
    ):
        return None
    words = named(scan.language.table("abbreviations")[found[0]])
    if found[0].endswith(".") and not scan.text[found.end() :].strip("\"”’') "):
        words += "."  # the dot ends the sentence too
    return Reading(found.end(), words, "abbreviation")


def _saint(scan: Scan, at: int) -> Reading | None:
    """Read "St." or "St": Saint before a name, Street after one."""
    found = re.compile(r"St\.?(?!\w)").match(scan.text, at)
    table = scan.language.table("saint")
    if found is None or not table:
        return None
    before = re.search(r"([A-Z][\w'’]+)[ \u00a0]$", scan.text[:at])
    follows = re.match(r"[ \u00a0][A-Z]", scan.text[found.end() :])
    if follows and not before:
        return Reading(found.end(), table["title"], "abbreviation")
    if before and not follows:
        dot = "." if not scan.text[found.end() :].strip() and found[0][-1] == "." else ""
        return Reading(found.end(), table["street"] + dot, "abbreviation")
    if before and follows:
        doubt = scan.doubt(at, found.end(), ("", table["title"]), ("", table["street"]))
        return Reading(found.end(), table["title"], "abbreviation", (doubt,))
    return None


def _initials(scan: Scan, at: int) -> Reading | None:
    """Read "J. R." before a name, and other dotted letters, without their dots."""
    found = _INITIALS.match(scan.text, at)
    if found and scan.language.tag == "en":
        named_so = scan.language.table("letters")["before"]
        if len(found[0].rstrip()) == 2 and scan.word_before(at) in named_so:
            return None
        gap = " " if found[0][-1].isspace() else ""
        return Reading(found.end(), named(" ".join(re.findall("[A-Z]", found[0]))) + gap, "letters")
    dotted = _DOTTED.match(scan.text, at)
    if dotted and scan.language.tag == "en":
        ends = "." if not scan.text[dotted.end() :].strip("\"”’') ") else ""
        letters = " ".join(dotted[0].replace(".", "").upper())
        return Reading(dotted.end(), named(letters) + ends, "letters")
    return None


def _spelled(scan: Scan, at: int) -> Reading | None:
    """Read "C-A-T" letter by letter."""
    found = _SPELLED.match(scan.text, at)
    if found is None or not scan.language.has("letters"):
        return None
    return Reading(found.end(), named(found[0].replace("-", ", ")), "letters")


def initialism(scan: Scan, at: int, word: str) -> Reading | None:
    """Read a word in capitals that is said letter by letter."""
    table = scan.language.table("as_words")
    if not table or len(word) < 2 or word in table["words"]:
        return None
    vowelless = not set(word) & set("AEIOUY") and len(word) <= 5
    if word in table["letters"] or vowelless:
        return Reading(at + len(word), named(" ".join(word)), "letters")
    return None
