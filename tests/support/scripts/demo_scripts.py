"""The demo scripts: where they are, a copy to build in, and every construct that they use."""

from __future__ import annotations

import dataclasses
import re
import shutil
from typing import TYPE_CHECKING

from pausewright.script import model
from pausewright.script.attributes import attribute_table
from pausewright.script.inline import inline_context
from pausewright.script.reader import read
from pausewright.script.reading import block_attributes

from support.places import DEMO

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    import pytest

SCRIPTS = sorted(DEMO.glob("*.md"))


def copy_of_demos(folder: Path) -> Path:
    """Copy the demo scripts with their sounds and voices, without what earlier builds kept."""
    target = folder / "demo_scripts"
    shutil.copytree(DEMO, target, ignore=shutil.ignore_patterns(".pausewright", "out"))
    return target


def used_constructs(script: Path, monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Return what a script uses, written as an author would: `.tone`, `say=`, `order="whole"`.

    Attributes are noted where the reader looks them up in its own table, so a name in a sentence
    or a comment does not count. Parts of the model are noted by their class names.
    """
    used: set[str] = set()
    look_up = attribute_table.misplaced

    def noting(name: str, value: str | None, place_kind: str) -> tuple[str, str] | None:
        trouble = look_up(name, value, place_kind)
        if trouble is None:
            used.update(_names(name, value))
        return trouble

    with monkeypatch.context() as patched:
        patched.setattr(block_attributes, "misplaced", noting)
        patched.setattr(inline_context, "misplaced", noting)
        found = read(script).script
    settings = found.settings
    used |= {f"{name}:" for name in settings.places}
    # what stands in the settings holds for the whole test, as an attribute would
    used |= {f"{name}=" for name in settings.places if name in attribute_table.VALUES}
    used |= {type(one).__name__ for one in _inside(found)}
    texts = "\n".join(found.sources.values())
    used |= {"a comment"} if "<!--" in texts else set()
    used |= {"a table on a sheet"} if re.search(r"^\|[-|]+\|$", texts, re.MULTILINE) else set()
    used |= {".include"} if len(found.sources) > 1 else set()
    used |= {field for field in _FIELDS if field in texts}
    used |= {f"use: {settings.use}", f"numbering: {settings.numbering}"}
    used |= {f"channels: {settings.channels}", f"captions: {settings.captions}"}
    return used


_FIELDS = ("{number}", "{total}", "{part}", "{reading}", "{readings}", "{reading-th}", "{1}", "{2}")


def _names(name: str, value: str | None) -> Iterator[str]:
    if value is None:
        yield f".{name}"
        return
    yield f"{name}="
    for one in value.split(","):
        yield f'{name}="{one.strip()}"'


def _inside(value: object) -> Iterator[object]:
    """Walk everything that a part of the model holds."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        if type(value).__name__ in model.__all__:
            yield value
        for field in dataclasses.fields(value):
            yield from _inside(getattr(value, field.name))
    elif isinstance(value, tuple | list):
        for one in value:
            yield from _inside(one)
    elif hasattr(value, "values"):
        for one in value.values():
            yield from _inside(one)
