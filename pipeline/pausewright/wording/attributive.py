"""Whether a measure stands before its noun, where its unit has no plural: "a 5 m rope"."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_BY_SIZE: Final = Late(
    rf"[ \u00a0](?:by|x|×)[ \u00a0]\d+(?:\.\d+)?(?:(?:{BLANK}|-)?[A-Za-z]+|[\"″”′'])"
)


_FIRST_PART: Final = Late(r"\d+ ?(?:ft|lb|st|h|hr|m|feet|foot)\.? ?$")
_SECOND_PART: Final = Late(
    r" ?\d+ ?(?:in|oz|lb|lbs|min|mins|cm)(?!\w)|, \d+(?:\.\d+)?[ -]?(?:[A-Z]|kW|mA|kg|cm|"
    r"mm)(?=[ ][a-z])"
)


_DETERMINED: Final = Late(r"(?<![\w’'])([A-Za-z]+)(?:,? ([a-z-]+))?(?:,? ([a-z-]+))?[ \u00a0]$")


def is_attribute(scan: Scan, at: int, end: int) -> bool:
    """Say whether a measure stands before its noun: "a 5 m rope", "the new 60 W bulb"."""
    if scan.text[end : end + 1] == ".":
        end += 1
    if re.match(r"-(?:long|high|wide|deep|tall|thick|old|square)(?!\w)", scan.text[end : end + 8]):
        return True
    if re.match(
        r"[ \u00a0](?:tall|long|wide|deep|high|thick|old) (?!(?:and|or|by|but|at|in|when|than)\b)"
        r"[a-z]{3,}",
        scan.text[end : end + 16],
    ) and re.search(r"(?<!\w)[Aa]n? $", scan.text[max(0, at - 4) : at]):
        return True
    following = scan.word_after(end)
    sized = _BY_SIZE.match(scan.text, end) or _SECOND_PART.match(scan.text, end)
    if sized is not None:
        return is_attribute(scan, at, sized.end())
    first = _FIRST_PART.search(scan.text[max(0, at - 12) : at])
    if first is not None:
        return is_attribute(scan, at - len(first[0]), end)
    named = re.compile(r"[ \u00a0](?:[A-Z]{2,5}(?![\w’'])|[ad]\.c\.)").match(scan.text, end)
    if named is not None and named[0].strip() in {"TV", "LED", "SSD", "LCD"}:
        return True
    if named is not None and re.search(r"(?<!\w)[Aa]n? $", scan.text[max(0, at - 4) : at]):
        return True
    no_nouns = scan.language.listed("measures", "no_nouns")
    if not following or not following.islower() or following in no_nouns or len(following) < 3:
        return False
    head = scan.text[max(0, at - 60) : at]
    if re.search(rf"\d[\"″”′']?{BLANK}?[×x]{BLANK}?$|\d{BLANK}?[a-z]+ (?:by|x|×) $", head):
        return True
    if following in scan.language.listed("measures", "nouns") and not re.search(r"\bthe $", head):
        return True
    found = _DETERMINED.search(head)
    if found is None:
        return False
    words = [word.lower() for word in found.groups() if word]
    articles = scan.language.listed("measures", "articles")
    last = max((n for n, word in enumerate(words) if word in articles), default=-1)
    adjectives = scan.language.listed("measures", "adjectives")
    if last < 0 or any(word not in adjectives for word in words[last + 1 :]):
        return False
    is_verb = following.endswith(("ed", "ing")) and words[last] == "the"
    return not is_verb
