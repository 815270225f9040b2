"""Good files to be damaged, in pieces that are read in milliseconds."""

from __future__ import annotations

import re
from functools import cache
from typing import Final, Literal

from pausewright.script.reader import read
from pausewright.wording.worded import Worded

from support.amounts import cases
from support.damage.slips import planted
from support.places import CASES, DEMO, ROOT
from support.random_scripts.scripts import drawn_by_seed

Kind = Literal["script", "settings", "arrangements", "lexicon", "captions", "needs"]
KINDS: Final[tuple[Kind, ...]] = (
    "script", "settings", "arrangements", "lexicon", "captions", "needs",
)  # fmt: skip

WIDE: Final = CASES / "wide.md"
"""A script that holds every construct of the language."""

_HEADING: Final = re.compile(r"^(?=# )", re.MULTILINE)
END: Final = "\nThat is all.\n"
ARRANGEMENTS: Final = """standard: {label: A}
quarter:
  label: B
  basis: agreed
  extra-time: 25 %
  stretch: [answer-time, look-time]
  share-of: listed-silences
  where: each-gap
slower: {label: C, basis: agreed, pace: 80 %, voice: iris, readings: 3}
breaks: {label: D, basis: agreed, rest-breaks: {after-questions: "1", words: "A break."}}
look: {label: E, basis: agreed, look-time: {before-questions: 15 s}, split: at-stops}
quiet: {label: F, basis: agreed, background: off, captions: everything}
"""
_LEXICON: Final = """language: en
words:
  Ceilidh: KAY-lee
  nth: {ipa: "ˈɛnθ", voices: joe}
  Ossel: {say: oss-el, shown: Ossel Hill}
heteronyms:
  read:
    readings: {reed: "ɹˈiːd", red: "ɹˈɛd"}
    usual: reed
    after: {red: have has had}
    before: {red: aloud}
    at-start: reed
"""
_VTT: Final = """WEBVTT Kind: captions

NOTE a note

STYLE
::cue { color: white }

1
00:00:01.000 --> 00:00:02.500 align:start line:90%
<v Mila>Good &amp; <i>early</i> morning
in two lines

00:00:03.000 --> 01:00:04.000
The ferry leaves.
"""
_SRT: Final = """1
00:00:01,000 --> 00:00:02,500
Good <i>early</i> morning

2
00:00:03,000 --> 00:00:04,000
The ferry leaves.
"""
_NEEDS: Final = """candidate,arrangement,room,headphones
1001,standard,Hall,no
1002,quarter,Room 4,yes
1003,B,"Room 4, upstairs",1
"1004",slower,Room 5,
"""


@cache
def bases(kind: Kind) -> tuple[str, ...]:
    """Return the good files of a kind, as text."""
    if kind == "script":
        return _pieces()
    if kind == "settings":
        heads = [head_and_body(text)[0] for text in _whole()]
        return tuple(f'{head}\n1. Write 5. {{answer-time="5 s"}}\n{END}' for head in heads)
    if kind == "arrangements":
        files = sorted(DEMO.glob("*.arrangements.yaml"))
        files += sorted((DEMO / "arrangements").glob("*.arrangements.yaml"))
        return (ARRANGEMENTS, *(file.read_text(encoding="utf-8") for file in files))
    if kind == "lexicon":
        files = sorted((ROOT / "voices").rglob("*.lexicon.yaml"))
        rows = [file.read_text(encoding="utf-8").split("\n")[:40] for file in files]
        return (_LEXICON, *("\n".join(one) for one in rows))
    return (_VTT, _SRT) if kind == "captions" else (_NEEDS, _NEEDS.replace(",", ";"))


@cache
def _whole() -> tuple[str, ...]:
    """Return whole scripts: the demos, one with every construct, and random ones."""
    files = (*sorted(DEMO.glob("*.md")), WIDE)
    drawn = [drawn_by_seed(seed).text for seed in range(cases(20, 200))]
    return (*(planted(file.read_text(encoding="utf-8")) for file in files), *drawn)


@cache
def _pieces() -> tuple[str, ...]:
    """Return each part of each script with its script's settings, questions from 1 on."""
    found = []
    for text in _whole():
        head, body = head_and_body(text)
        for part in _HEADING.split(body):
            one = f"{head}\n{_from_one(part)}{END}"
            if part.strip() and not _errors(one):
                found.append(one)
    return tuple(found)


def head_and_body(text: str) -> tuple[str, str]:
    """Part a good script behind its settings."""
    cut = text.index("\n---\n", 4) + 5
    return text[:cut], text[cut:]


def _errors(text: str) -> bool:
    """Say whether a part cannot be read alone: it may name questions of another."""
    reading = read(DEMO / "part.md", text)
    return any(
        p.severity == "error" for p in (*reading.problems, *Worded(reading.script).problems.all)
    )


def _from_one(part: str) -> str:
    """Return a part whose questions are numbered from 1 on, so that it can be read alone."""
    n = 0

    def number(_: re.Match[str]) -> str:
        nonlocal n
        n += 1
        return f"{n}. "

    return re.sub(r"^\d+\. ", number, part, flags=re.MULTILINE)
