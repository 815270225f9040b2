"""A dash between two words, letters or ordinals: Monday–Friday, A–M, 1st–3rd, B5–B3."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers, roman
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Scan

_ORDINAL: Final = Late(r"\d+(?:st|nd|rd|th)(?!\w)")
_CODE: Final = Late(r"[A-Z]?\d{1,4}[A-Z]?(?!\w)")
_LETTER: Final = Late(r"[A-Z](?![\w’'])")
_ROMAN: Final = Late(r"(?:[IVXLC]+|[ivxlc]+)(?:7|(?!\w))")
_BEFORE: Final = Late(r"[\w.’'*]+$")
_TIME: Final = Late(
    r"(?:noon|midnight|midday|dawn|dusk|sunset|\d{1,2}(?:[.:]\d\d)?)", re.IGNORECASE
)
_ENDS_TIME: Final = Late(r"(?:[ap]\.?m\.?|noon|midnight|midday|\d)$", re.IGNORECASE)


@cache
def _calendar(language: Language) -> re.Pattern[str]:
    table = language.table("calendar")
    if not table:
        return re.compile("(?!)")
    names = [
        *table["months"],
        *table["short_months"],
        "Sept",
        *table.get("days", {}),
        *table.get("days", {}).values(),
    ]
    plural = [f"{name}s" for name in table.get("days", {}).values()]
    rows = "|".join(sorted({*names, *plural}, key=len, reverse=True))
    return re.compile(rf"(?:{rows})\.?(?!\w)")


def read(scan: Scan, at: int) -> Reading | None:
    """Read a dash that joins the two ends of a stretch: "to"; None for any other dash."""
    text, to = scan.text, scan.language.word("to")
    if not to or text[at] not in "–-":
        return None
    label = re.compile(r"\(([a-z]|[ivx]{1,4})\)").match(text, at + 1)
    if label is not None and text[at - 1 : at] == ")":
        said = (
            numbers.whole_words(roman.value_of(label[1]), scan.language)
            if len(label[1]) > 1 or label[1] in "ivx"
            else label[1].upper()
        )
        return Reading(label.end(), f" {to} {said}", "stretch")
    if re.search(r"(?<!\d)\d{1,2}/\d{1,2}/\d{2,4}$", text[max(0, at - 11) : at]) and re.match(
        r"\d{1,2}/\d{1,2}/\d\d", text[at + 1 :]
    ):
        return Reading(at + 1, f" {to} ", "stretch")
    if text[at - 1 : at].isdigit() and re.match(r"(?:love|all)(?!\w)", text[at + 1 :]):
        return Reading(at + 1, " ", "stretch")  # "15–love"
    half = re.compile(r"([a-z]|\d{1,2})\)").match(text, at + 1)
    if half is not None and re.search(r"(?<![\w(])(?:[a-z]|\d{1,2})\)$", text[max(0, at - 4) : at]):
        said = (
            numbers.whole_words(int(half[1]), scan.language)
            if half[1].isdigit()
            else half[1].upper()
        )
        return Reading(half.end(), f" {to} {said}", "stretch")
    if re.search(r"(?<![\d/])\d/\d{1,2}$", text[max(0, at - 5) : at]) and re.match(
        r"\d{1,2}/\d", text[at + 1 :]
    ):
        return Reading(at + 1, f" {to} ", "stretch")
    if text[at - 1 : at] in tuple("½¼¾⅓⅔⅛") and re.match(r"[\d½¾]", text[at + 1 : at + 2]):
        return Reading(at + 1, f" {to} ", "stretch")
    if text[at - 1 : at] == " " and text[at + 1 : at + 2] == " ":
        return _spaced(scan, at, to)
    before = _BEFORE.search(text[max(0, at - 24) : at])
    if before is None:
        return None
    left, word = before[0].rstrip("."), before[0]
    said = Reading(at + 1, f" {to} ", "stretch")
    calendar = _calendar(scan.language)
    small = re.compile(r"([a-z])(?![\w’'])").match(text, at + 1)
    if small and re.fullmatch(r"\d{1,3}[a-z]", left) and left[-1] < small[1]:
        return Reading(small.end(), f" {to} {small[1].upper()}", "stretch")
    if left in {"BC", "AD", "BCE", "CE"} and re.match(r"(?:AD[ ])?\d", text[at + 1 :]):
        return said
    if re.fullmatch(r"[12]\d{3}", left) and calendar.match(text, at + 1):
        return said
    if calendar.fullmatch(word) and calendar.match(text, at + 1):
        return said
    if calendar.fullmatch(word) and re.match(r"\d{1,2}(?:st|nd|rd|th)? [A-Z]", text[at + 1 :]):
        return said
    if re.fullmatch(r"['’]?\d{2,4}s", left) and re.match(r"['’]?\d{2,4}s(?!\w)", text[at + 1 :]):
        return said
    if _ORDINAL.fullmatch(left) and _ORDINAL.match(text, at + 1):
        return said
    if (
        _ENDS_TIME.search(word)
        and not word.isdigit()
        and _TIME.match(text, at + 1)
        and text[at] == "–"
    ):
        return said
    if _ORDINAL.fullmatch(left) and calendar.match(text, at + 1):
        return said
    if _letters(scan, at, left):
        return said
    if text[at] == "–" and _code(left) and (found := _CODE.match(text, at + 1)) and _code(found[0]):
        return said
    if _ROMAN.fullmatch(left) and (found := _ROMAN.match(text, at + 1)):
        in_music = scan.mentions("music") or scan.mentions("progressions")
        return Reading(at + 1, ", ", "stretch") if in_music and left.isupper() else said
    if text[at] == "–" and left[:1].isupper() and text[at + 1 : at + 2].isupper():
        return _between_names(scan, at, left)
    return None


def _spaced(scan: Scan, at: int, to: str) -> Reading | None:
    """Read a dash between blanks that joins two days: Mon 3rd – Fri 7th."""
    calendar = _calendar(scan.language)
    before = _BEFORE.search(scan.text[max(0, at - 24) : at - 1])
    dated = re.compile(r"\d{1,2}(?:st|nd|rd|th)? (?=[A-Z])").match(scan.text, at + 2)
    if before is not None and dated and calendar.match(scan.text, dated.end()):
        whole = re.search(r"\d{1,2}(?:st|nd|rd|th)? [A-Z][a-z]+\.?$", scan.text[: at - 1])
        is_month = whole is not None and calendar.fullmatch(before[0])
        return Reading(at + 1, to, "stretch") if is_month else None
    if before is None or not calendar.match(scan.text, at + 2):
        return None
    joins = (
        calendar.fullmatch(before[0])
        or _ORDINAL.fullmatch(before[0])
        or re.fullmatch(r"\d{1,2}", before[0])
    )
    return Reading(at + 1, to, "stretch") if joins else None


def _code(word: str) -> bool:
    return bool(re.fullmatch(r"[A-Z]\d{1,4}[A-Z]?|\d{1,3}[A-Z]", word))


def _letters(scan: Scan, at: int, left: str) -> bool:
    """Say whether a dash joins two single letters, or a letter and a figure: A–M, K–5."""
    text = scan.text
    following = _LETTER.match(text, at + 1)
    small = re.compile(r"[a-z](?![\w’'])").match(text, at + 1)
    if small and re.fullmatch(r"[a-z]", left) and text[at] == "–" and not scan.is_formula:
        if scan.word_after(at + 2) in {"graph", "graphs", "curve", "plot", "plane", "axes"}:
            return False
        return left < small[0] and text[at - 2 : at - 1] in {"", " ", "(", "“", "‘"}
    left = left.removesuffix("*")
    if not (len(left) == 1 and left.isupper() and left.isalpha()):
        return False
    if scan.word_after(at + 2) in {
        "graph",
        "graphs",
        "curve",
        "curves",
        "bond",
        "bonds",
        "group",
        "groups",
        "axes",
    }:
        return False
    star = text[at - 1 : at] == "*"
    if text[at - 2 - star : at - 1 - star] not in {"", " ", "\u00a0", "(", "“", "‘", "–", ","}:
        return False
    if text[at] == "-":
        weekdays = following is not None and f"{left}{following[0]}" in {
            "MF",
            "MT",
            "TF",
            "MW",
            "AZ",
        }
        grades = left == "K" and text[at + 1 : at + 2].isdigit()
        return weekdays or grades
    if following is not None:
        return left < following[0] or left in "MTWF"
    return left == "K" and text[at + 1 : at + 2].isdigit()


def _between_names(scan: Scan, at: int, left: str) -> Reading | None:
    right = re.compile(r"[A-Z][\w’']+").match(scan.text, at + 1)
    if right is None:
        return None
    told = scan.decide("names", at - len(left), right.end())
    if told is None:
        return None
    piece = f"{left}–{right[0]}"
    return Reading(at + 1, f" {scan.language.word('to')} ", "stretch", because=told.told(piece))
