"""Parts of the screens: JSON that cannot end its element, files of this package."""

from __future__ import annotations

import json
from typing import Final

from pausewright.pages import page_part

PACKAGE: Final = "pausewright.screen"

_ESCAPES: Final = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"}


def json_island(value: object) -> str:
    """Return JSON for a `<script type="application/json">`: ASCII, without `<`, `>` and `&`.

    No text in it can close the element, open a comment or, as U+2028 could, end a line of
    JavaScript.
    """
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    for sign, escape in _ESCAPES.items():
        text = text.replace(sign, escape)
    return text


def part(*names: str) -> str:
    """Return the text of this package's files, joined."""
    return page_part(PACKAGE, *names)
