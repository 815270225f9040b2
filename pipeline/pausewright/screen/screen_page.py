"""A screen as HTML text: its template with one style, one script and its data, under its policy."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Final

from pausewright.pages.page import page
from pausewright.screen.bundle import PACKAGE, bundle

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.script.model import Script

_ESCAPES: Final = str.maketrans({sign: f"\\u{ord(sign):04x}" for sign in "<>&"})


def screen_page(
    name: str,
    script: Script,
    data: Mapping[str, object],
    *,
    label: str,
    edition: str,
    **values: object,
) -> str:
    """Return the page of a screen, to be written in UTF-8.

    Parameters
    ----------
    name : of the screen: its folder, and its files in it
    data : what its code is given, anything that JSON holds
    label, edition : as on the other papers
    values : what its template is given besides
    """
    return page(
        PACKAGE,
        f"{name}/{name}.html",
        "shared/page.css",
        f"{name}/{name}.css",
        code=bundle(f"{name}/{name}.js"),
        title=script.settings.title,
        language=script.settings.language,
        label=label,
        edition=edition,
        data=page_data(data),
        **values,
    )


def page_data(value: object) -> str:
    """Return JSON for a `<script type="application/json">`: ASCII, without `<`, `>` and `&`.

    No text in it can close the element, open a comment or, as U+2028 could, end a line of
    JavaScript.
    """
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return text.translate(_ESCAPES)
