"""Write what another normaliser says of 2,133 phrases: tests/cases/second_opinion.tsv.

It runs in an environment of its own with wetext 0.1.8 (weighted grammars, English), which is not
among this project's dependencies: `pip install wetext==0.1.8`, then
`python scripts/make_second_opinion.py`.
"""

from __future__ import annotations

import importlib
import random
from pathlib import Path

FILE = Path(__file__).resolve().parent.parent / "tests" / "cases" / "second_opinion.tsv"
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
UNITS = ("km", "cm", "mm", "kg", "g", "m", "ml", "mph", "km/h", "kHz", "GB", "%")


def phrases(seed: int = 20261129) -> list[tuple[str, str]]:
    """Return dates, times, amounts, measures, telephone numbers and ordinals, each once."""
    draw = random.Random(seed)  # noqa: S311  cases, not secrets
    rows: list[tuple[str, str]] = []
    for _ in range(400):
        day, month, year = draw.randint(1, 28), draw.choice(MONTHS), draw.randint(1101, 2099)
        rows.append(("date", f"{day} {month} {year}"))
    for _ in range(250):
        hour, minute = draw.randint(1, 12), draw.randint(0, 59)
        rows.append(("time", f"{hour}:{minute:02d} {draw.choice(['am', 'pm'])}"))
    rows += [("time", f"{draw.randint(13, 23)}:{draw.randint(0, 59):02d}") for _ in range(150)]
    for _ in range(450):
        sign, whole = draw.choice("$£€"), draw.randint(2, 9999)
        if draw.random() < 0.5:
            rows.append(("money", f"{sign}{whole:,}"))
        else:
            rows.append(("money", f"{sign}{draw.randint(2, 999)}.{draw.randint(1, 99):02d}"))
    for _ in range(450):
        unit = draw.choice(UNITS)
        is_whole = draw.random() < 0.6
        number = f"{draw.randint(2, 9999):,}" if is_whole else str(round(draw.uniform(0.1, 99), 1))
        rows.append(("measure", f"{number}%" if unit == "%" else f"{number} {unit}"))
    for _ in range(250):
        first, second = draw.randint(201, 989), draw.randint(200, 999)
        rows.append(("telephone", f"{first}-{second}-{draw.randint(0, 9999):04d}"))
    for _ in range(250):
        value = draw.randint(1, 1200)
        last = 0 if value % 100 in {11, 12, 13} else value % 10
        ending = {1: "st", 2: "nd", 3: "rd"}.get(last, "th")
        rows.append(("ordinal", f"{value:,}{ending}"))
    return list(dict.fromkeys(rows))


def main() -> None:
    """Ask the other normaliser, and write its words."""
    normaliser = importlib.import_module("wetext").Normalizer(lang="en", operator="tn")
    rows = [f"{kind}\t{phrase}\t{normaliser.normalize(phrase)}\n" for kind, phrase in phrases()]
    FILE.write_text("".join(rows), encoding="utf-8")
    print(f"{len(rows)} phrases")


if __name__ == "__main__":
    main()
