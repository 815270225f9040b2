"""What a page that stands alone is made with: its head, its policy, its parts and hashes."""

from __future__ import annotations

import base64
import hashlib
from functools import cache

import jinja2

from pausewright.package_data import package_folder

BASE = "page.html"
"""The template that every page extends; it stands beside this module."""
STYLE = "base.css"
"""For `page`: the style that reports, comparisons and papers share, before their own."""
SHARED = frozenset({BASE, STYLE, "strip.html", "strip.css"})
"""Files beside this module, for pages of every package."""


def digest(text: str) -> str:
    """Return the source expression of a content security policy for an inline script or style."""
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


@cache
def page_part(package: str, *names: str) -> str:
    """Return the text of files of a package of ours, joined; those of `SHARED` stand here."""
    return "\n".join(
        (package_folder("pausewright.pages" if name in SHARED else package) / name).read_text(
            "utf-8"
        )
        for name in names
    )


def page(package: str, name: str, *styles: str, code: str = "", **values: object) -> str:
    """Return a page as HTML text, to be written in UTF-8.

    Parameters
    ----------
    package : whose files the template and its styles are
    name : of the template, which extends `BASE`
    styles : names of its style sheets; `STYLE` and those of `SHARED` stand in this package
    code : its script, if it has one
    values : what the template is given besides; an unknown name is an error
    """
    style = page_part(package, *styles)
    values |= {"style": style, "style_hash": digest(style), "code": code}
    if code:
        values["code_hash"] = digest(code)
    return _templates(package).get_template(name).render(values)


@cache
def _templates(package: str) -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.FunctionLoader(lambda name: page_part(package, name)),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
