"""Write what the check allows into the docs, from the limits that it judges by.

    python3 scripts/make_limits_table.py

The table of tolerances in docs/the-check.md, and docs/limits-of-the-check.md: every limit with its
value, how it was measured and what holds it. tests/docs/test_limits_table.py runs this too.
"""

from __future__ import annotations

import ast
import sys
from dataclasses import fields
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from pausewright.checker import limits
from pausewright.checker.limits import edges, levels, shown, sound, times
from pausewright.checker.limits.coders import CODERS, Coder
from pausewright.checker.shown.caption_reading import READERS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import ModuleType

ROOT: Final = Path(__file__).resolve().parent.parent
CHECK_PAGE: Final = ROOT / "docs" / "the-check.md"
LIMITS_PAGE: Final = ROOT / "docs" / "limits-of-the-check.md"
MODULES: Final = (sound, times, levels, edges, shown)
BEGIN, END = "## Tolerances\n\n", "\n\nThis table is made from"

UNITS: Final = {
    "_DBFS": "dBFS",
    "_DBTP": "dBTP",
    "_DB": "dB",
    "_LU": "LU",
    "_HZ": "Hz",
    "_BYTES": "bytes",
    "_FRAMES": "frames",
    "_SAMPLES": "samples",
    "_S": "s",
    "_SHARE": "share",
    "_FEWEST": "count",
    "FEWEST_": "count",
}
"""The unit that an end (or a beginning) of a name says; other numbers say theirs in their text."""


class Limit(NamedTuple):
    """One limit as the docs name it."""

    name: str
    value: object
    text: str
    """What stands below it in the source, on one line."""


def limits_of(module: ModuleType) -> Iterator[Limit]:
    """Yield the limits of a module with their texts, in order."""
    path = Path(str(module.__file__))
    body = ast.parse(path.read_text(encoding="utf-8")).body
    for node, following in zip(body, [*body[1:], ast.Pass()], strict=True):
        if not isinstance(node, ast.AnnAssign) or not isinstance(node.target, ast.Name):
            continue
        name = node.target.id
        if name == "TESTS":
            continue
        yield Limit(name, getattr(module, name), text_of(following))


def text_of(node: ast.stmt) -> str:
    """Return the text that stands below a name, on one line; "" if none does."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return " ".join(str(node.value.value).split())
    return ""


def unit_of(name: str) -> str:
    """Return the unit that a name says; "" if it says none."""
    found = (unit for end, unit in UNITS.items() if name.endswith(end) or name.startswith(end))
    return next(found, "")


def ms(value: Fraction | float) -> str:
    """Return seconds as milliseconds."""
    return f"{float(value * 1000):g} ms"


def s(value: Fraction | float) -> str:
    """Return seconds."""
    return f"{float(value):g} s"


def db(value: float) -> str:
    """Return decibels."""
    return f"{value:g} dB"


def per_cent(value: Fraction | float) -> str:
    """Return a share in hundredths."""
    return f"{float(value * 100):g} %"


def rows() -> list[tuple[str, str, str]]:
    """Return what is judged, what is allowed, and the code of the finding else."""
    soft_s = max(coder.soft_ends_s for coder in CODERS.values())
    coded = CODERS["MP3"]
    exact_s, coded_s = times.SAME_TAKE_S[True], times.SAME_TAKE_S[False]
    level, more = levels.LEVEL_ALLOWED_DB, levels.LEVEL_ERROR_DB - levels.LEVEL_ALLOWED_DB
    adult, younger = READERS["adult"], READERS["younger-readers"]
    hidden_s = times.IN_NOISE_S - times.TOLERANCE_S
    m4a_frames = CODERS["M4A"].length_slack_frames
    return [
        (
            (
                f"a silence of {s(times.PROMISED_FROM_S)} or more between speech or "
                "tones, any kind, on "
                "WAV, FLAC and MP3 from 64 kbit/s"
            ),
            f"±{ms(times.TOLERANCE_S)}",
            "`silence-short`, `silence-long`",
        ),
        (
            "the same on OGG Vorbis, Opus and AAC, whose coders drop soft ends of words",
            f"{ms(times.TOLERANCE_S)} short, {ms(times.TOLERANCE_S + soft_s)} long",
            "the same",
        ),
        (
            "a silence beside a sound as recorded, counted with the silent edges of its file",
            f"±{ms(times.RECORDED_TOLERANCE_S)}",
            "the same",
        ),
        ("a silence on a track with steady noise", f"±{ms(times.IN_NOISE_S)}", "the same"),
        (
            "the same beside a sound as recorded",
            f"±{ms(times.RECORDED_IN_NOISE_S)}",
            "the same",
        ),
        (f"a silence under {s(times.PROMISED_FROM_S)}", "reported, not judged", ""),
        ("silence at the start (0.5 s)", "reported, not judged", ""),
        ("silence at the end (1 s)", f"not more than {ms(times.TOLERANCE_S)} short", "`end-cut`"),
        (
            "length of a tone",
            (f"±{ms(times.TONE_TOLERANCE_S)}; in a room’s noise ±{ms(times.IN_NOISE_S)}"),
            "`tone-differs`",
        ),
        (
            "readings of one question with the same words, if most are copies of each other",
            (
                f"±{ms(exact_s)}, on compressed files ±{ms(coded_s)}, in a room’s noise "
                f"±{ms(times.SAME_TAKE_IN_NOISE_S)}; the same recording all through"
            ),
            "`readings-differ`",
        ),
        (
            "the same, where a person read each of them",
            "a quarter of the length",
            "`readings-differ`",
        ),
        (
            "speed of the whole track",
            (
                f"{per_cent(times.SPEED_LEAST_OFF)}; by silences in a room's "
                f"noise {per_cent(times.SPEED_LEAST_OFF_IN_NOISE)}"
            ),
            "`wrong-speed`",
        ),
        (
            (
                f"level of an utterance of {s(levels.LEVEL_SHORTEST_S)} or more, to "
                "the middle of all; "
                "where there is a step, of its side"
            ),
            (
                f"±{db(level)}; under {s(levels.LEVEL_SHORT_S)} "
                f"±{db(level + levels.LEVEL_SHORT_MORE_DB)};"
                f" compressed {db(coded.level_more_db)} more"
            ),
            f"`level-uneven` (warning; error from {db(more)} more)",
        ),
        (
            "level of all that is said after a place, to all that is said before it",
            f"{db(levels.LEVEL_STEP_DB)}; compressed {db(coded.level_more_db)} more",
            f"`level-uneven` (warning; error from {db(more)} more)",
        ),
        (
            "noise in a silence, over half a second",
            f"{db(levels.NOISE_BELOW_DB)} below the speech (WCAG 2.x, 1.4.7)",
            "`noise-in-gap`",
        ),
        (
            "hum of 50 or 60 Hz with harmonics",
            f"{db(levels.HUM_BELOW_DB)} below the speech",
            f"`hum` (warning; error from {db(levels.HUM_ERROR_DB)})",
        ),
        (
            "shift of the zero line",
            f"{per_cent(levels.DC_WARNING)} of full scale",
            f"`dc-offset` (warning; error from {per_cent(levels.DC_ERROR)})",
        ),
        (
            "channels of a track with two",
            db(levels.CHANNEL_UNEQUAL_DB),
            f"`channels-unequal` (warning; error from {db(2 * levels.CHANNEL_UNEQUAL_DB)})",
        ),
        (
            "high sounds of the speech",
            f"up to {levels.BAND_ERROR_BELOW_HZ / 1000:g} kHz at least",
            "`bandwidth`",
        ),
        ("a silence inside a sentence", "under 0.9 s", "`silence-in-speech` (warning)"),
        (
            "length of speech against its words",
            "a factor of 2.1, five times the spread of the file, and 0.4 s",
            "`length-unlikely` (warning)",
        ),
        (
            "the same, beyond what any reading explains",
            "a factor of 3.3, five times the spread of the file, and 1 s",
            "`length-impossible` (error)",
        ),
        (
            (
                "integrated loudness against the script's setting; of the speech "
                "alone on a track with "
                "sounds as recorded"
            ),
            f"±{levels.LOUDNESS_TOLERANCE_LU:g} LU (EBU R 128 v4.0, production)",
            "`loudness` (warning)",
        ),
        (
            "true peak",
            (
                f"−{-levels.TRUE_PEAK_CEILING_DBTP:g} dBTP, {db(levels.TRUE_PEAK_SLACK_DB)} "
                "slack between meters"
            ),
            "`true-peak`",
        ),
        (
            "a caption's start before its speech",
            f"{ms(shown.EARLY_S)}; in a room's noise {ms(shown.EARLY_S + hidden_s)}",
            "`caption-early`",
        ),
        (
            "a caption's start after its speech",
            f"{s(shown.LATE_S)} (BBC Subtitle Guidelines 5.2 and 5.4 allow 2 s)",
            "`caption-late`",
        ),
        (
            "a caption's end after its speech",
            (
                f"{s(shown.HANG_S)} (BBC Subtitle Guidelines 5.2); "
                f"{s(shown.INTO_SILENCE_S)} into a "
                "silence of the candidates"
            ),
            "`caption-hangs`",
        ),
        (
            "where a caption begins or ends inside an utterance (estimated by letters)",
            f"{s(shown.LATE_S)} and a tenth of the utterance, on both sides",
            "the same",
        ),
        (
            "a countdown's time against what is left of the measured answer time",
            f"{s(shown.COUNTDOWN_OFF_S)} (EN 301 549, 7.1.2)",
            "`countdown-wrong`",
        ),
        (
            "a countdown's cue beyond its answer time",
            s(shown.COUNTDOWN_OFF_S),
            "`countdown-outside`",
        ),
        (
            (
                "a time on the printed instructions, in whole seconds, against where its "
                "words are heard"
            ),
            (
                f"{s(shown.WHOLE_SECOND_S + shown.EARLY_S)}; in a room’s noise "
                f"{s(shown.WHOLE_SECOND_S + shown.EARLY_S + hidden_s)}"
            ),
            "`transcript-time`",
        ),
        ("how long one cue of a countdown stands", s(shown.MOST_STANDING_S), "`countdown-wrong`"),
        (
            f"words a minute of all captions of a file, from {shown.FEWEST_WORDS} words on",
            (
                f"profile `adult` {adult.most_wpm} (BBC Subtitle Guidelines 4), `younger-readers` "
                f"{younger.most_wpm} (DCMP Captioning Key)"
            ),
            "`caption-rate` (warning)",
        ),
        (
            "a caption that is gone before three quarters of its words' own time",
            "the same rates",
            "`caption-fast` (warning)",
        ),
        (
            "a chapter's start, from the start of the track or the start or end of a sound",
            f"±{ms(shown.CHAPTER_SLACK_S)}",
            "`chapter-off`",
        ),
        (
            "where a track is cut into pieces: silence of the hold at the end of a piece",
            f"half of the hold, {ms(times.CUT_SLACK_S)} slack",
            "`piece-cut`",
        ),
        (
            "the same: silence with which the next piece begins",
            (
                f"{s(times.LEAST_LEAD_S)}, or a quarter of the hold where that is less; "
                f"{ms(times.CUT_SLACK_S)} slack"
            ),
            "`piece-cut`",
        ),
        (
            "pieces against the whole track: WAV and FLAC",
            "none: the same samples",
            "`piece-differs`",
        ),
        ("the same, MP3 and others: length", "none: as many samples", "`piece-differs`"),
        (
            (
                "the same: energy of the difference, in each quarter of a second over "
                f"−{-edges.PIECE_SOFTEST_DBFS:g} dBFS"
            ),
            "a tenth of the sound's",
            "`piece-differs`",
        ),
        (
            "length of a track against its packing list",
            (
                f"none; {ms(times.LISTED_LENGTH_SLACK_S)} at another sample rate; "
                f"{m4a_frames:,} samples "
                f"({m4a_frames * 1000 / 44_100:.0f} ms) for a video"
            ),
            "`total-differs`",
        ),
    ]


def table(head: tuple[str, ...], lines: list[tuple[str, ...]]) -> str:
    """Return a table of Markdown."""
    ruled = [head, *lines]
    rows_of_text = ["| " + " | ".join(line).rstrip() + " |" for line in ruled]
    rows_of_text.insert(1, "|---" * len(head) + "|")
    return "\n".join(rows_of_text)


def check_page(page: str) -> str:
    """Return the page about the check with its table of tolerances as it is now."""
    before, _, rest = page.partition(BEGIN)
    after = rest.partition(END)[2]
    return before + BEGIN + table(("what", "allowed", "else"), list(rows())) + END + after


def value_text(limit: Limit) -> str:
    """Return a limit's value with its unit."""
    value = limit.value
    if isinstance(value, dict):
        return f"{number(value[True])} exact, {number(value[False])} compressed"
    unit = unit_of(limit.name)
    return f"{number(value)} {unit}" if unit not in {"", "share", "count"} else number(value)


def number(value: object) -> str:
    """Return a number as the docs write it."""
    if isinstance(value, Fraction):
        value = float(value)
    return f"{value:g}".replace("-", "−") if isinstance(value, int | float) else str(value)


def limits_page() -> str:
    """Return the page of all limits."""
    parts = [
        (
            "# All limits of the check\n\n"
            "Every threshold by which [the check](the-check.md) judges. This page is made from "
            "`pausewright/checker/limits` by `scripts/make_limits_table.py`: the "
            "check reads the same "
            "values. Names end in their unit; a share is a part of 1.\n"
        )
    ]
    for module in MODULES:
        tests = ", ".join(f"`{one}`" for one in module.TESTS)
        lines: list[tuple[str, ...]] = [
            (f"`{one.name}`", value_text(one), one.text) for one in limits_of(module)
        ]
        parts.append(
            f"## {str(module.__doc__).splitlines()[0].rstrip('.')}\n\nHeld by {tests}.\n\n"
            + table(("limit", "value", "what it is, and how it was measured"), lines)
            + "\n"
        )
    return "\n".join([*parts, coder_part()])


def coder_part() -> str:
    """Return what is allowed to each kind of file."""
    names = [field.name for field in fields(Coder)]
    lines: list[tuple[str, ...]] = []
    for kind, coder in CODERS.items():
        values = [getattr(coder, name) for name in names]
        lines.append((kind, *(yes_or_number(value) for value in values)))
    texts = "\n".join(f"- `{name}`: {text}" for name, text in coder_texts())
    head = ("kind", *(f"`{name}`" for name in names))
    return (
        "## What each kind of file is allowed\n\nHeld by `tests/checker/test_check_formats.py` and "
        f"`scripts/sabotage.py`.\n\n{table(head, lines)}\n\n{texts}\n"
    )


def yes_or_number(value: object) -> str:
    """Return one value of a kind of file."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "not judged" if value is None else number(value)


def coder_texts() -> Iterator[tuple[str, str]]:
    """Yield name and text of each field of a kind of file."""
    path = Path(str(limits.__file__)).with_name("coders.py")
    tree = ast.parse(path.read_text(encoding="utf-8"))
    own = next(node for node in tree.body if isinstance(node, ast.ClassDef))
    for node, following in zip(own.body, own.body[1:], strict=False):
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield node.target.id, text_of(following)


def main() -> int:
    """Write both pages; return 0."""
    CHECK_PAGE.write_text(check_page(CHECK_PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    LIMITS_PAGE.write_text(limits_page(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
