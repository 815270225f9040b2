"""Lines of the text report: causes, findings and tables, in at most 100 columns."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.result.codes import apart_unit, unit_of
from pausewright.checker.result.naming import clock, seconds
from pausewright.checker.result.shared_causes import sign_of
from pausewright.checker.result.told_causes import told
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.result.causes import Cause
    from pausewright.checker.result.findings import Finding, KindTotal, Number, QuestionRow
    from pausewright.checker.result.shared_causes import Sign
    from pausewright.pages.strip import Stretch
    from pausewright.problems import Place

WIDTH: Final = 100
LONGEST_NAME: Final = 50
MOST_CAUSES: Final = 25
"""Causes that the text shows; the JSON has all."""
MOST_FOLLOWERS: Final = 3
"""Findings that follow from a cause and are told one by one; more are only counted."""
MOST_SILENCES: Final = 12
"""Longest silences that are listed of a track without a script."""


def wrapped(text: str, indent: str) -> list[str]:
    """Return a text in lines of at most 100 columns; those after the first are indented."""
    lines: list[str] = []
    rest = text
    while len(rest) > WIDTH:
        cut = rest.rfind(" ", len(indent) + 1, WIDTH)
        cut = WIDTH if cut <= len(indent) else cut
        lines.append(rest[:cut].rstrip())
        rest = indent + rest[cut:].lstrip()
    return [*lines, rest]


def counted(n: int, word: str) -> str:
    """Return a count with its word."""
    return f"{n} {word}" + ("" if n == 1 else "s")


def shortened(name: str) -> str:
    """Return a file name of at most 50 signs; the end tells format and pieces."""
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 36]}…{name[-35:]}"


def level(value: float | None, unit: str) -> str:
    """Return a level with its unit."""
    return "none" if value is None else f"{value:.1f} {unit}"


def signed(wait_s: Fraction) -> str:
    """Return seconds with three decimals and their sign."""
    text = seconds(wait_s)
    return text if text.startswith("-") else f"+{text}"


# ---- causes and findings ---------------------------------------------------------------------


def cause_lines(causes: Sequence[Cause], above: frozenset[Sign] = frozenset()) -> list[str]:
    """Return all causes, each with what follows from it; of those told above a line."""
    if not causes:
        return ["No findings."]
    lines = ["Causes" if len(causes) > 1 else "Cause"]
    for cause in causes[:MOST_CAUSES]:
        if sign_of(cause.head) in above:
            lines += told_above_lines(cause)
            continue
        lines += finding_lines(cause.head, told(cause))
        few = cause.follows if len(cause.follows) <= MOST_FOLLOWERS else ()
        for one in few:
            at = "whole file" if one.at_s is None else clock(one.at_s)
            numbers = [f"{name} {value}" for name, value in finding_numbers(one)[:2]]
            text = f"{'':12}{at}  {one.severity}: {'; '.join([one.sentence, *numbers])}"
            lines += wrapped(text, " " * 14)
    more = len(causes) - MOST_CAUSES
    if more > 0:
        lines.append(f"  … and {counted(more, 'more cause')}, all of them in the JSON report")
    return lines


def told_above_lines(cause: Cause) -> list[str]:
    """Return a cause that the head of a folder's report tells, in a line: where it is here."""
    at = "whole file" if cause.head.at_s is None else clock(cause.head.at_s)
    text = f"{at:>10}  {cause.severity}: {cause.head.sentence} (told above)"
    return wrapped(text, " " * 14)


def finding_lines(finding: Finding, sentence: str = "") -> list[str]:
    """Return a finding in lines of at most 100 columns; `sentence` tells it otherwise."""
    at = "whole file" if finding.at_s is None else clock(finding.at_s)
    lines = wrapped(f"{at:>10}  {finding.severity}: {sentence or finding.sentence}", " " * 14)
    numbers = [f"{name} {value}" for name, value in finding_numbers(finding)]
    if numbers:
        lines += wrapped(" " * 12 + ", ".join(numbers), " " * 14)
    for name, words in finding_words(finding):
        lines += wrapped(f"{'':12}{name}: {words}", " " * 14)
    if finding.place is not None:
        lines += wrapped(f"{'':12}script: {_place(finding.place)}", " " * 14)
    return lines + wrapped(f"{'':12}what to do: {finding.hint}", " " * 14)


def finding_numbers(finding: Finding) -> list[tuple[str, str]]:
    """Return the numbers of a finding with their unit, by name."""
    unit = unit_of(finding.code, finding.unit)
    rows = (
        ("expected", finding.expected, unit),
        ("measured", finding.measured, unit),
        ("difference", finding.difference, apart_unit(unit)),
        ("allowed", finding.allowed, apart_unit(unit)),
    )
    return [(name, number(value, own)) for name, value, own in rows if value is not None]


def number(value: Number, unit: str) -> str:
    """Return a number with its unit: seconds to the thousandth, levels to the tenth."""
    if unit == "s":
        text = seconds(Fraction(value))
    elif isinstance(value, int):
        text = str(value)
    elif unit in {"dB", "dBFS", "dBTP", "LUFS", "LU"}:
        text = f"{float(value):.1f}"
    elif unit in {"Hz", "words/min"}:
        text = f"{float(value):.0f}"
    else:
        text = f"{float(value):.4g}"
    return f"{text} {unit}".strip()


def finding_words(finding: Finding) -> list[tuple[str, str]]:
    """Return the words of the test beside a finding of the machine's ear, by name."""
    pairs = (("script says", finding.said), ("heard", finding.heard))
    return [(name, words) for name, words in pairs if words]


def _place(place: Place) -> str:
    return f"{place.file.name}:{place.line}"


# ---- tables ----------------------------------------------------------------------------------


def question_table(rows: Sequence[QuestionRow]) -> list[str]:
    """Return a line a question: readings and answer time, judged by what candidates hear."""
    head = f"{'':16}{'':>11}  {'readings':>14}  {'answer time in seconds':^33}"
    columns = (
        f"{'question':16}{'starts at':>11}  {'asked':>6}  {'found':>6}  "
        f"{'declared':>10} {'measured':>10} {'differs':>11}  sound"
    )
    return [head, columns, *(_row(row) for row in rows)]


def _row(row: QuestionRow) -> str:
    starts = "-" if row.at_s is None else clock(row.at_s)
    verdict = "good" if row.is_good else "WRONG"
    name = str(row.item)[:15]
    head = f"{name:16}{starts:>11}  {row.readings_expected:>6}  {row.readings_found:>6}  "
    if row.is_by_hand:
        return f"{head}{'by hand (not counted)':>33}  {verdict}"
    declared = measured = differs = "-"
    answer = row.answer_time
    if answer is not None:
        declared = seconds(answer.expected_s)
        measured = "not found" if answer.measured_s is None else seconds(answer.measured_s)
        difference_s = answer.difference_s
        differs = "-" if difference_s is None else signed(difference_s)
    return f"{head}{declared:>10} {measured:>10} {differs:>11}  {verdict}"


def totals_table(totals: Sequence[KindTotal]) -> list[str]:
    """Return the sums by kind of silence; what was not found counts as 0 s in what differs."""
    lines = [
        "Silences by kind",
        (f"  {'':28}{'number':>7} {'found':>9}  {'declared':>14} {'measured':>14} {'differs':>13}"),
    ]
    lines += [
        f"  {total_name(total):28}{total.n_expected:>7} {total.n_measured:>9}  "
        f"{seconds(total.expected_s):>12} s {seconds(total.measured_s):>12} s "
        f"{signed(total.difference_s):>11} s"
        for total in totals
    ]
    return lines


def total_name(total: KindTotal) -> str:
    """Return what a kind of silence is called in a table of sums."""
    return silence_name(total.kind) + (" (not counted)" if total.kind == "hold" else "")


def silences_table(strip: Sequence[Stretch]) -> list[str]:
    """Return the silences of a track without a script: how many, and the longest of them."""
    sentence, longest = silences_in_short(strip)
    return [
        sentence,
        f"  {'starts at':>11} {'lasts':>13}",
        *(f"  {clock(one.start_s):>11} {seconds(one.length_s):>11} s" for one in longest),
    ]


def silences_in_short(strip: Sequence[Stretch]) -> tuple[str, list[Stretch]]:
    """Return how many silences there are, in a sentence, and the longest in order of time."""
    silences = [one for one in strip if one.kind == "silence"]
    total_s = sum((one.length_s for one in silences), Fraction(0))
    longest = sorted(silences, key=lambda one: -one.length_s)[:MOST_SILENCES]
    sentence = f"{counted(len(silences), 'silence')} of 0.7 s or more, {seconds(total_s)} s in all"
    if len(longest) < len(silences):
        sentence += f"; the longest {len(longest)}"
    return sentence, sorted(longest, key=lambda one: one.start_s)
