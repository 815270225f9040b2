"""Cases of `tests/cases/wording_table.txt`: what is written, how it is said, and who says so."""

from __future__ import annotations

from dataclasses import dataclass

from support.places import CASES

TABLE = CASES / "wording_table.txt"


@dataclass(frozen=True)
class WordingCase:
    """One row of the table."""

    topic: str
    language: str
    settings: tuple[tuple[str, str], ...]
    written: str
    spoken: str
    source: str
    line: int


def wording_cases() -> list[WordingCase]:
    """Return every row of the table."""
    found: list[WordingCase] = []
    topic = language = source = ""
    settings: tuple[tuple[str, str], ...] = ()
    for number, row in enumerate(TABLE.read_text(encoding="utf-8").splitlines(), start=1):
        if row.startswith("## "):
            topic, language, chosen, source = (part.strip() for part in row[3:].split("|"))
            pairs = (one.partition(":") for one in chosen.split(";") if one.strip())
            settings = tuple((name.strip(), value.strip()) for name, _, value in pairs)
        elif " → " in row and not row.startswith("# "):
            written, _, rest = row.partition(" → ")
            spoken, _, own = rest.partition(" ;; ")
            found.append(
                WordingCase(topic, language, settings, written, spoken, own or source, number)
            )
    return found


def compared(words: str) -> str:
    """Return words as they are compared: without commas, hyphens and a full stop at the end."""
    plain = words.replace(",", " ").replace("-", " ").replace("’", "'")
    return " ".join(plain.split())
