"""Between them the demos use every construct of the language, by the language's own tables."""

from __future__ import annotations

import dataclasses

import pytest
from pausewright.script import model
from pausewright.script.attributes.attribute_table import UNDONE, VALUES, YES_WORDS
from pausewright.script.declared import CAPTION_POLICIES
from pausewright.script.inline.bracketed_words import STATES
from pausewright.script.settings.settings_table import SETTINGS, STRUCTURED
from support.scripts.demo_scripts import SCRIPTS, used_constructs

FIELDS = {"{number}", "{total}", "{part}", "{reading}", "{readings}", "{reading-th}", "{1}", "{2}"}
"""Of announcements and patterns, as docs/script-language.md lists them."""
CHOICES = {
    "answer-time": ("none", "by hand"),
    "order": ("whole", "phrases", "pieces"),
    "edges": ("trimmed",),
    "level": ("matched",),
    "time-cue": ("half",),
    "to": ("reader", "invigilator", "marker"),
    "as": ("year", "number"),
    "states": STATES,
}
"""Attributes with a closed choice of values: those that change what is built."""
ELSE = {
    "a comment", "a table on a sheet", "use: test", "use: practice",
    "numbering: whole", "numbering: by-part", "channels: 1", "channels: 2",
}  # fmt: skip


def all_constructs() -> set[str]:
    """Return everything that the tables of the language hold."""
    return {
        *(f"{name}=" for name in VALUES),
        *(f".{name}" for name in YES_WORDS),
        *(f'{name}="no"' for name in UNDONE),
        *(f'{name}="{value}"' for name, values in CHOICES.items() for value in values),
        *(f"{name}:" for name in (*SETTINGS, *STRUCTURED, "pace")),
        *(f"captions: {policy}" for policy in CAPTION_POLICIES if policy != "nothing"),
        *(name for name in model.__all__ if _is_part_of_a_script(getattr(model, name))),
        *FIELDS,
        *ELSE,
    }


def _is_part_of_a_script(kind: object) -> bool:
    return (
        isinstance(kind, type)
        and dataclasses.is_dataclass(kind)
        and kind is not model.AnswerPlace  # on sheets only, and those are kept as text: `.answer`
    )


def test_every_construct_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing in the tables is without an example that builds; what is missing is named."""
    used = set().union(*(used_constructs(script, monkeypatch) for script in SCRIPTS))

    missing = sorted(all_constructs() - used)
    assert missing == [], ", ".join(missing)


@pytest.mark.parametrize(
    ("left_out", "missing"),
    [
        ("music.md", {"fade-out=", "from=", "channels: 2"}),
        ("dictation.md", {"ipa=", "phrase-readings=", "between-phrase-readings="}),
        ("pieces.md", {".rest", 'order="pieces"', "{reading-th}", "continues-wording:"}),
        ("messages.md", {".answers", "take=", "lang=", "speaker=", "use: practice"}),
        ("word-list.md", {"questions=", "Again", 'practice="no"'}),
    ],
)
def test_a_missing_demo_is_noticed(
    left_out: str, missing: set[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a demo its own constructs are named as missing: the count sees what it should."""
    others = [script for script in SCRIPTS if script.name != left_out]
    used = set().union(*(used_constructs(script, monkeypatch) for script in others))

    assert missing <= all_constructs() - used
