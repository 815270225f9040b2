"""Random scripts with every construct: declared, outlined, planned and measured silences agree.

RANDOM_SCRIPTS=500 in the environment builds more of them; `scripts/try_random_scripts.py` goes
through thousands by seed.
"""

from __future__ import annotations

import json
import os
import re
import tempfile
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any, Final

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pausewright.deliver.version_outline import outline, outline_data
from pausewright.script.attributes.attribute_table import VALUES, YES_WORDS
from pausewright.script.attributes.scope import SCOPED
from pausewright.script.edition import edition
from pausewright.script.settings.settings_table import SETTINGS, STRUCTURED
from support.amounts import cases
from support.random_scripts.builds import built, judge, judge_without_sound, opened
from support.random_scripts.scripts import RandomScript, drawn_by_seed, scripts

N_BUILT: Final = int(os.environ.get("RANDOM_SCRIPTS", cases(6, 200)))
ROOMY: Final[dict[str, Any]] = {
    "deadline": None,
    "derandomize": True,
    "suppress_health_check": list(HealthCheck),
    "database": None,
}

_SECONDS: Final = {"type": "string", "pattern": r"^\d+(\.\d+|/\d+)?$"}
_TEXT: Final = {"type": "string"}
OUTLINE: Final[dict[str, Any]] = {
    "type": "object",
    "additionalProperties": False,
    "required": ["title", "edition", "language", "version_label", "extra_time",
                 "n_questions", "length_s", "is_exact", "silences", "steps", "warnings"],
    "properties": {
        "title": _TEXT,
        "edition": {"type": "string", "pattern": "^[2-9A-HJ-NP-Z]{6}$"},
        "language": _TEXT,
        "version_label": _TEXT,
        "extra_time": _TEXT,
        "n_questions": {"type": "integer", "minimum": 0},
        "length_s": _SECONDS,
        "is_exact": {"type": "boolean"},
        "silences": {
            "type": "object",
            "additionalProperties": {
                "type": "object",
                "additionalProperties": False,
                "required": ["count", "total_s"],
                "properties": {"count": {"type": "integer", "minimum": 1}, "total_s": _SECONDS},
            },
        },
        "steps": {
            "type": "array",
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": ["at_s", "kind", "text", "length_s", "is_exact", "origin", "place",
                             "question", "reading"],
                "properties": {
                    "at_s": _SECONDS, "kind": _TEXT, "text": _TEXT, "length_s": _SECONDS,
                    "is_exact": {"type": "boolean"}, "origin": _TEXT,
                    "place": {"type": "string", "pattern": r"^((.+:)?\d+:\d+)?$"},
                    "question": _TEXT, "reading": {"type": "integer", "minimum": 0},
                },
            },
        },
        "warnings": {"type": "array", "items": _TEXT},
    },
}  # fmt: skip
"""What `outline --json` gives."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return one folder for all scripts of this file: their recordings are written once."""
    return tmp_path_factory.mktemp("random-scripts")


@pytest.mark.timeout(1_800)
@settings(max_examples=N_BUILT, **ROOMY)
@given(drawn=scripts())
def test_declared_outlined_planned_and_measured_silences_agree(drawn: RandomScript) -> None:
    """Each silence to one sample, their sums by kind, the whole length; and the check passes."""
    with tempfile.TemporaryDirectory() as place:
        assert judge(drawn, Path(place)) is not None


@settings(max_examples=cases(25, 600), **ROOMY)
@given(drawn=scripts(careful=False))
def test_two_declared_silences_side_by_side_are_always_refused(
    folder: Path, drawn: RandomScript
) -> None:
    """A script is refused if and only if some stand so; else outline, plan and check agree."""
    judge_without_sound(drawn, folder)


@pytest.mark.timeout(900)
@settings(max_examples=cases(8, 200), **ROOMY)
@given(drawn=scripts(), seed=st.integers(0, 99))
def test_comments_blank_lines_and_order_of_settings_do_not_count(
    folder: Path, drawn: RandomScript, seed: int
) -> None:
    """The edition stays, and so does every silence."""
    shuffled = list(drawn.settings)
    Random(seed).shuffle(shuffled)  # noqa: S311  no secret
    plain = opened(drawn.write(folder))
    for ordered, between in (
        (drawn.settings, "<!-- nobody hears this -->"),
        (drawn.settings, "\n"),
        (tuple(shuffled), ""),
    ):
        other = opened(drawn.write(folder, "other.md", drawn.written(ordered, between)))
        assert edition(other.script) == edition(plain.script)
        outlines = [outline(project, lambda _: None) for project in (plain, other)]
        assert outlines[0].totals == outlines[1].totals
        assert outlines[0].length_s == outlines[1].length_s


@settings(max_examples=cases(12, 300), **ROOMY)
@given(drawn=scripts())
def test_the_outline_as_data_keeps_its_form(folder: Path, drawn: RandomScript) -> None:
    """Its schema is written here by hand; steps follow each other without a hole."""
    project = opened(drawn.write(folder))
    data = json.loads(json.dumps(outline_data(project, outline(project, lambda _: None))))

    jsonschema.validate(data, OUTLINE)
    at_s = Fraction(0)
    for step in data["steps"]:
        assert Fraction(step["at_s"]) == at_s
        at_s += Fraction(step["length_s"])
    assert Fraction(data["length_s"]) == at_s


def test_building_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    """Track, captions, papers, reports and record, though the second build finds its takes kept."""
    script = drawn_by_seed(3).write(tmp_path)
    files: list[dict[str, bytes]] = []
    for out in ("one", "other"):
        made = built(script, out)
        files.append({str(f.relative_to(made.folder)): f.read_bytes() for f in made.files})

    assert files[0].keys() == files[1].keys()
    assert [name for name in files[0] if files[0][name] != files[1][name]] == []


def test_every_construct_is_drawn() -> None:
    """All attributes, yes words, settings and blocks of the language's tables are there."""
    drawn = [drawn_by_seed(seed) for seed in range(400)]
    text = "\n".join(d.text + "\n".join(t for _, t in d.includes) for d in drawn)

    on_papers = {"box", "staff-lines", "sheet-head", "mark-scheme", "paper-templates"}
    on_papers |= {"recording-rights"}
    missing = [name for name in VALUES if not re.search(rf"[ {{]{name}=", text)]
    missing += [name for name in {*YES_WORDS} - on_papers if not re.search(rf"\.{name}[ }}]", text)]
    in_settings = {*SETTINGS, *STRUCTURED, "pace"} - {"arrangements"} - on_papers
    # the others change neither steps nor times; their own tests have them
    in_settings -= {
        "slate",
        "caption-profile",
        "countdown",
        "countdown-wording",
        "show-time",
        "wording",
        "words",
        "lexicon",
    }
    in_settings |= {name for name, scoped in SCOPED.items() if scoped.in_settings}
    missing += [s for s in in_settings if not re.search(rf"^{s}:", text, re.MULTILINE)]
    blocks = ("passage", "dictation", "again", "stop", "page-turn", "sheet", "key", "staff-note")
    missing += [name for name in blocks if f"::: {name}" not in text]
    written = ("{.stop", "by hand", " to ", "<!--", "    - a. ", "    - A. ", "**Mila:**", 'no"}',
               "::: {.", "“", "{2}", "order=", "pieces")  # fmt: skip
    missing += [sign for sign in written if sign not in text]
    assert missing == []
