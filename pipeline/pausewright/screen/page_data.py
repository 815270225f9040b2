"""What a page's code is given: JSON in an element of its own, which it cannot end."""

from __future__ import annotations

import json
from typing import Final

_ESCAPES: Final = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"}


def page_data(value: object) -> str:
    """Return JSON for a `<script type="application/json">`: ASCII, without `<`, `>` and `&`.

    No text in it can close the element, open a comment or, as U+2028 could, end a line of
    JavaScript.
    """
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    for sign, escape in _ESCAPES.items():
        text = text.replace(sign, escape)
    return text
