"""What every page that stands alone is made with: its parts, its hashes, its templates."""

from __future__ import annotations

import base64
import hashlib
from functools import cache, partial
from importlib import resources

import jinja2


def digest(text: str) -> str:
    """Return the source expression of a content security policy for an inline script or style."""
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


@cache
def page_part(package: str, *names: str) -> str:
    """Return the text of files of a package of ours, joined."""
    folder = resources.files(package)
    return "\n".join(folder.joinpath(name).read_text(encoding="utf-8") for name in names)


@cache
def environment(package: str) -> jinja2.Environment:
    """Return the environment of a package's templates: all is escaped, an unknown name an error."""
    return jinja2.Environment(
        loader=jinja2.FunctionLoader(partial(page_part, package)),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
