"""Whole numbers in captions: as written, or one to ten in words and figures above.

The second way is that of the DCMP Captioning Key, "Numbers": one to ten spelled, figures above
ten, a number at the start of a sentence spelled, all in figures if one number of the sentence is
above ten.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.language import language_for
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK, LETTER

if TYPE_CHECKING:
    from pausewright.script.declared import Settings
    from pausewright.wording.language import Language

_WHOLE: Final = Late(
    r"(?<![\w.,:/–−+£$€¥×÷=<>^√(-])(?<![+−×÷=<>] )(\d{1,3}(?:,\d{3})+|\d{1,9})"
    r"(?![\w°%½¼¾⅓⅔⅛²³)–-])(?![.,:/]\d)(?! ?[+−×÷=<>°%½¼¾])",
    re.ASCII,
)
_UNIT: Final = Late(rf"{BLANK}({LETTER}+)")


def caption_text(shown: str, settings: Settings, language: str) -> str:
    """Return what a caption shows of a sentence, in the style that the settings choose."""
    known = language_for(language)
    if known is None or settings.styles.get("caption-figures") != "words-to-ten":
        return shown
    found = [one for one in _WHOLE.finditer(shown) if not _has_unit(shown, one, known)]
    above = any(_value(one) > 10 for one in found)
    out, at = "", 0
    for one in found:
        starts = not shown[: one.start()].strip("\"“‘'( ")
        word = numbers.whole_words(_value(one), known)
        if starts:
            out += shown[at : one.start()] + word[0].upper() + word[1:]
        elif not above:
            out += shown[at : one.start()] + word
        else:
            out += shown[at : one.end()]
        at = one.end()
    return out + shown[at:]


def _value(found: re.Match[str]) -> int:
    return int(found[1].replace(",", ""))


def _has_unit(shown: str, found: re.Match[str], language: Language) -> bool:
    """Say whether a unit's symbol follows: measures stay in figures."""
    unit = _UNIT.match(shown, found.end())
    return unit is not None and unit[1] in language.units
