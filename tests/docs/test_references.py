"""Keys of sources and numbers of rules that stand in the code lead to a page that holds them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("pipeline", "voices", "scripts", "tests", "docs")
ENDINGS = {".py", ".md", ".txt", ".toml", ".yaml", ".js", ".css"}
SOURCES = ROOT / "docs/sources.md"
GROUPS = "AA|BBC|CV|DCMP|EN|FM|GP|LU|NFX|OFC|SP|VB|VTT|WC"
KEY = re.compile(rf"\b({GROUPS})-(\d\d)\b(?:(?: to | and |, )(\d\d)\b)*")
RULE = re.compile(r"\b[Rr]ules? (\d+)(?:(?:, | and )(\d+))*\b")


def listed() -> set[str]:
    """Return the keys that the page of sources explains."""
    return set(
        re.findall(r"^\| ([A-Z]+-\d\d) \| \S", SOURCES.read_text(encoding="utf-8"), re.MULTILINE)
    )


def cited(text: str) -> set[str]:
    """Return the keys of sources that a text cites, shortened ones ("AA-13, 14") in full."""
    return {
        f"{match[1]}-{number}"
        for match in KEY.finditer(text)
        for number in re.findall(r"(?<!\d)\d\d(?!\d)", match[0])
    }


def texts() -> dict[Path, str]:
    """Return every text of ours that may cite something."""
    files = [p for folder in FOLDERS for p in sorted((ROOT / folder).rglob("*"))]
    return {
        path.relative_to(ROOT): path.read_text(encoding="utf-8")
        for path in files
        if path.suffix in ENDINGS and "node_modules" not in path.parts and path != Path(__file__)
    }


def test_every_key_is_explained() -> None:
    """No key is cited that docs/sources.md does not hold, and none is held that nobody cites."""
    found = {key: path for path, text in texts().items() for key in cited(text) if path != SOURCES}
    page = SOURCES.relative_to(ROOT)
    used = {key for path, text in texts().items() if path != page for key in cited(text)}

    assert len(used) > 40
    assert {key: str(found[key]) for key in used - listed()} == {}
    assert listed() - used == set()


def test_every_rule_of_silence_is_there() -> None:
    """Where the check's expectation names a rule, docs/script-language.md has it."""
    text = (ROOT / "docs/script-language.md").read_text(encoding="utf-8")
    silence = text.split("\n## Silence\n")[1].split("\n## ")[0]
    rules = set(re.findall(r"^(\d+)\. ", silence, re.MULTILINE))
    named = {
        number
        for path, text in texts().items()
        if "checker" in path.parts
        for match in RULE.finditer(text)
        for number in re.findall(r"\d+", match[0])
    }

    assert len(rules) >= 8
    assert len(named) >= 5
    assert named <= rules


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("(check values LU-01 to LU-05)", {"LU-01", "LU-05"}),
        ("AA-13, 14 and SP-10", {"AA-13", "AA-14", "SP-10"}),
        ("no key: ABC-01, X-99", set()),
        ("BBC-99", {"BBC-99"}),
    ],
)
def test_keys_are_found(text: str, keys: set[str]) -> None:
    """Also behind "to" and "and"; other words with hyphens are none."""
    assert cited(text) == keys
