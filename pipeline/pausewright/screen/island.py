"""Parts of a page that stands alone: JSON that cannot end its element, hashes, templates."""

from __future__ import annotations

import base64
import hashlib
import json
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from jinja2 import Environment

_ESCAPES: Final = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"}


def json_island(value: Any) -> str:  # noqa: ANN401  anything that JSON holds
    """Return JSON for a `<script type="application/json">`: ASCII, without `<`, `>` and `&`.

    No text in it can close the element, open a comment or, as U+2028 could, end a line of
    JavaScript.
    """
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    for sign, escape in _ESCAPES.items():
        text = text.replace(sign, escape)
    return text


def digest(text: str) -> str:
    """Return the source expression of a content security policy for an inline script or style."""
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


@cache
def part(*names: str) -> str:
    """Return the text of package files, joined."""
    folder = resources.files("pausewright.screen")
    return "\n".join(folder.joinpath(name).read_text(encoding="utf-8") for name in names)


@cache
def environment() -> Environment:
    """Return the template environment: everything is escaped, an unknown name is an error."""
    import jinja2  # noqa: PLC0415  loaded when a page is made

    return jinja2.Environment(
        loader=jinja2.FunctionLoader(part),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
