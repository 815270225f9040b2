"""A screen as HTML text: its template with one style, one script and its data, under its policy."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.pages import digest, environment, page_part
from pausewright.screen.bundle import PACKAGE, bundle
from pausewright.screen.page_data import page_data

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.script.model import Script


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
    style = page_part(PACKAGE, "shared/page.css", f"{name}/{name}.css")
    code = bundle(f"{name}/{name}.js")
    template = environment(PACKAGE).get_template(f"{name}/{name}.html")
    return template.render(
        title=script.settings.title,
        language=script.settings.language,
        label=label,
        edition=edition,
        data=page_data(data),
        style=style,
        style_hash=digest(style),
        code=code,
        code_hash=digest(code),
        **values,
    )
