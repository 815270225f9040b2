"""Words that papers for candidates print by themselves, from the file of their language."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.wording.language import language_for

if TYPE_CHECKING:
    from collections.abc import Mapping


def paper_words(tag: str) -> Mapping[str, str]:
    """Return the words of a BCP 47 language; English ones where there is no table of its own."""
    own, english = language_for(tag), language_for("en-GB")
    found = {} if english is None else dict(english.table("papers"))
    if own is not None:
        found |= own.table("papers")
    return {name: str(words) for name, words in found.items()}
