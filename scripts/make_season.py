"""Writes generated tests for a season, short ones, each in five arrangements.

    python3 scripts/make_season.py FOLDER N [--voices joe,iris] [--questions 3]

The same call gives the same bytes. Tests share their instructions and many of their questions, as
those of one board do; every tenth lies in a folder below. All of it is made up.
"""

from __future__ import annotations

import argparse
import random
from pathlib import Path
from typing import Final

ARRANGEMENTS: Final = """\
standard: {label: A}
more:
  label: B
  extra-time: 25 %
  share-of: listed-silences
  stretch: [answer-time]
  where: each-gap
  basis: file 1
rested: {label: C, rest-breaks: {after-questions: "1"}, basis: file 2}
thrice: {label: D, readings: 3, basis: file 3}
shown: {label: E, captions: everything, basis: file 4}
"""
"""Beside each script."""
PLACES: Final = (
    "harbour", "lighthouse", "canal", "quarry", "orchard", "windmill", "ferry", "viaduct",
    "lagoon", "meadow", "observatory", "brickworks",
)  # fmt: skip
THINGS: Final = (
    "boats", "gulls", "lanterns", "barrels", "ropes", "baskets", "wagons", "kites", "bells",
    "crates", "oars", "flags", "buckets", "ladders", "nets", "stones",
)  # fmt: skip
SHARED_OF_TEN: Final = 5
"""Questions of ten that come from the common stock."""
STOCK: Final = 40


def question(chance: random.Random) -> tuple[str, int]:
    """Return a sum in words and its answer."""
    first, second = chance.randint(2, 40), chance.randint(2, 40)
    one, other = chance.sample(THINGS, 2)
    return f"{first} {one} and {second} {other} make how many?", first + second


def script(number: int, n_questions: int, voice: str, stock: list[tuple[str, int]]) -> str:
    """Return a test as text."""
    chance = random.Random(number)  # noqa: S311  nothing secret
    place = PLACES[number % len(PLACES)]
    rows = []
    for at in range(1, n_questions + 1):
        shared = chance.randrange(10) < SHARED_OF_TEN
        words, answer = chance.choice(stock) if shared else question(chance)
        rows.append(f'{at}. {words} {{key="{answer}" answer-time="{2 + at % 3} s"}}\n')
    return "\n".join(
        [
            "---",
            f"title: At the {place} {number}",
            "language: en-US",
            f"voice: {voice}",
            "readings: 2",
            "between-readings: 1 s",
            'announce: "Number {number}."',
            "---",
            "",
            "# Opening",
            "",
            "Listen well, and write each answer once.",
            "",
            f"This is the test at the {place}.",
            "",
            "# Test",
            "",
            *rows,
            "# End",
            "",
            "The test is over. Stop writing.",
            "",
        ]
    )


def main() -> None:
    """Write what was asked for."""
    parser = argparse.ArgumentParser(description="Generated tests for a season.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("n_tests", type=int)
    parser.add_argument("--voices", default="joe")
    parser.add_argument("--questions", type=int, default=3)
    asked = parser.parse_args()
    write_season(asked.folder, asked.n_tests, asked.voices.split(","), asked.questions)


def write_season(
    folder: Path,
    n_tests: int,
    voices: list[str],
    n_questions: int = 3,
    arrangements: str = ARRANGEMENTS,
) -> None:
    """Write so many tests of at least two questions; voices take turns."""
    chance = random.Random(0)  # noqa: S311  nothing secret
    stock = [question(chance) for _ in range(STOCK)]
    for number in range(1, n_tests + 1):
        at = folder / "more" if number % 10 == 0 else folder
        at.mkdir(parents=True, exist_ok=True)
        file = at / f"test-{number:04}.md"
        voice = voices[number % len(voices)]
        file.write_text(script(number, n_questions, voice, stock), encoding="utf-8")
        file.with_name(f"test-{number:04}.arrangements.yaml").write_text(arrangements, "utf-8")


if __name__ == "__main__":
    main()
