"""A desk on a test that is made already, by the voice without a model, in two versions."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from pausewright.deliver.build import build_versions

from support.desks.client import let_in, started
from support.desks.folder import Place
from support.scripts.versions import options

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

SCRIPT = """---
title: Lantern walk
language: en-GB
voice: joe
announce: "Question {number}."
readings: 2
between-readings: 0.8 s
arrangements:
  standard: {label: A}
  longer: {label: B, basis: file 7, extra-time: 50 %, stretch: [answer-time],
    share-of: listed-silences, where: each-gap}
---

# Lanterns {answer-time="2 s"}

Listen.

1. How many lanterns? {key="ZEBRAFISH"}
2. How many rivers? {key="QUOKKA"}
3. How many boats? {key="AXOLOTL"}

::: stop
Questions can be asked now.
:::

4. How many bells? {key="PANGOLIN"}

Thank you.
"""
KEYS = ("ZEBRAFISH", "QUOKKA", "AXOLOTL", "PANGOLIN")
NEEDS = (
    "candidate,arrangement,room,headphones\nC101,A,Hall,\nC102,B,Annexe,yes\nC103,B,Annexe,yes\n"
)


def make(folder: Path) -> Path:
    """Write the test into a folder and build it; return the script."""
    script = folder / "lantern.md"
    script.write_text(SCRIPT, encoding="utf-8")
    build_versions(script, options(folder))
    return script


@contextlib.contextmanager
def made_place(folder: Path) -> Iterator[Place]:
    """Give an open desk on a folder that holds the test, made."""
    folder.mkdir(exist_ok=True)
    make(folder)
    with started(folder) as process:
        place = Place(folder, process, let_in(folder))
        place.client.waited(f"/test/{place.id_of('lantern.md')}/make", "Make it and check it")
        yield place
