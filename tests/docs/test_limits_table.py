"""The limits of the check: all in one place, each with its words, and the docs made from them."""

from __future__ import annotations

import ast
import re
from fractions import Fraction
from pathlib import Path
from typing import Final

import make_limits_table
import pausewright.checker
import pytest
from make_limits_table import CHECK_PAGE, LIMITS_PAGE, MODULES, ROOT, limits_of, unit_of
from pausewright.checker.files.decode import CONTAINERS, OGG
from pausewright.checker.limits import times
from pausewright.checker.limits.coders import CODERS

CHECKER: Final = Path(pausewright.checker.__file__).parent
NO_LIMITS: Final = {
    "weights of the search for which sound is which, and how long it goes on": (
        "match/align.py", "match/lost_question.py", "match/match.py", "shown/recorded_words.py",
    ),
    "how lengths by letters are fitted to a file": ("expect/lengths.py",),
    "windows, bands, filters and chunks of a calculation": (
        "listen/filters.py", "listen/gate.py", "listen/listen.py", "listen/waveform.py",
        "faults/bandwidth.py",
        "faults/channels.py", "faults/clipping.py", "faults/closer.py", "faults/gaps.py",
        "faults/hard_edges.py", "faults/same_take.py", "files/piece_set.py", "judge/nuclei.py",
        "judge/against_standard.py", "promises/sounded_as_promised.py",
    ),
    "windows, batches and threads of the recogniser": (
        "ear/recogniser.py", "ear/recorded.py", "ear/hearing.py",
    ),
    "published formulas: ITU-T P.56, ITU-R BS.1770, reading speeds": (
        "listen/level.py", "listen/loudness.py", "shown/caption_reading.py",
    ),
    "formats of files, and how much of one is held in memory": (
        "files/ahead.py", "files/by_av.py", "files/decode.py", "files/decoded_track.py",
        "files/headers.py", "files/second_opinion.py",
        "files/intact.py", "files/video_contents.py",
    ),
    "times and tones that the language declares, read twice": (
        "expect/expect.py", "expect/line_runs.py", "expect/runs.py", "promises/note_taker.py",
        "promises/track_walk.py", "promises/promise.py",
    ),
    "windows and reaches of the comparison with a recording": (
        "original/exact_samples.py", "original/gaps_kept.py", "original/locating.py",
        "original/own_sounds.py", "original/pitch.py", "original/rooms_kept.py",
        "original/same_as_recorded.py", "original/stretches.py",
    ),
    "samples as whole numbers": ("files/sample_hash.py",),
    "words of numbers": ("ear/numerals.py",),
    "a mark of Windows": ("files/strays.py",),
    "how much a report tells, and how wide": (
        "ear/ear_cautions.py", "promises/kept_promises.py", "promises/proof_sentences.py",
        "report/lines.py", "report/page.py", "report/proof_lines.py", "report/report.py",
        "result/shared_causes.py",
        "result/track_strip.py", "rooms/packed.py", "shown/rows.py",
    ),
    "how much of a paper is read": ("papers/pdf_paper.py",),
}  # fmt: skip
"""Modules whose numbers are no thresholds by which anything is judged, by what they are."""
LOOKS_LIKE_A_LIMIT: Final = re.compile(r"_(?:DB|DBFS|DBTP|LU|LUFS|SHARE)$")
EXCUSED: Final = {
    "ABSOLUTE_GATE_LUFS",  # BS.1770's own
    "BESIDE_SKIP_SHARE",  # a weight of the search
    "FREE_SHARE",  # follows from the windows
    "LOWEST_DBFS",  # of a drawing
    "MARGIN_DB",  # ITU-T P.56's own
    "RELATIVE_GATE_LU",  # BS.1770's own
    "_FLOOR_DB",  # of a logarithm
    "_LEAST_SHARE",  # of a logarithm
}
"""Their names that look like limits all the same, with the reason."""


def test_the_docs_say_what_the_check_judges_by() -> None:
    """Run scripts/make_limits_table.py after a change of a limit."""
    page = CHECK_PAGE.read_text(encoding="utf-8")

    assert make_limits_table.check_page(page) == page
    assert LIMITS_PAGE.read_text(encoding="utf-8") == make_limits_table.limits_page()


def test_another_limit_changes_the_docs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both pages name the value that the check reads, not one that was written into them."""
    monkeypatch.setattr(times, "TOLERANCE_S", Fraction(37, 1000))
    page = CHECK_PAGE.read_text(encoding="utf-8")

    assert "±37 ms" in make_limits_table.check_page(page)
    assert "| `TOLERANCE_S` | 0.037 s |" in make_limits_table.limits_page()


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rpartition(".")[2])
def test_every_limit_has_its_words_and_tests(module: object) -> None:
    """A text below it, a unit in its name or its text, and tests that are there."""
    found = list(limits_of(module))  # type: ignore[arg-type]

    assert len(found) >= 5
    assert [one.name for one in found if len(one.text) < 15] == []
    for one in found:
        assert isinstance(one.value, int | float | Fraction | dict), one.name
        assert unit_of(one.name) or " " in one.text
    for name in module.TESTS:  # type: ignore[attr-defined]
        assert (ROOT / name).is_file(), name


def test_every_kind_of_file_has_its_limits() -> None:
    """What the check reads, and nothing else."""
    assert set(CODERS) == set(CONTAINERS.values()) | set(OGG.values())


def numbers_of(path: Path) -> set[str]:
    """Return the names of a module that hold numbers, of those at its top."""
    found: set[str] = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None:
            continue
        targets = node.targets if isinstance(node, ast.Assign) else [node.target]
        is_number = any(
            isinstance(part, ast.Constant) and type(part.value) in {int, float}
            for part in ast.walk(node.value)
        )
        if is_number:
            parts = ast.walk(ast.Module([ast.Expr(t) for t in targets], []))
            found |= {part.id for part in parts if isinstance(part, ast.Name)}
    return found


def test_no_limit_stands_elsewhere() -> None:
    """Whatever is judged is judged by `limits`; other modules with numbers are excused by name."""
    found = {
        path.relative_to(CHECKER).as_posix()
        for path in CHECKER.rglob("*.py")
        if path.parent.name != "limits" and numbers_of(path)
    }

    assert found == {one for names in NO_LIMITS.values() for one in names}


def test_no_excused_module_has_a_limit() -> None:
    """Levels and shares elsewhere are those of a calculation, each with its reason."""
    names = {
        name for one in NO_LIMITS.values() for path in one for name in numbers_of(CHECKER / path)
    }

    assert {name for name in names if LOOKS_LIKE_A_LIMIT.search(name)} == EXCUSED


def test_a_limit_elsewhere_would_be_found(tmp_path: Path) -> None:
    """Numbers in any form are seen; names of files, texts and switches are not."""
    path = tmp_path / "judge.py"
    path.write_text(
        "from fractions import Fraction\nMOST_DB = 3\nLEAST_S: float = 2 * 0.1\n"
        'SHARE = Fraction(1, 3)\nBOTH, OTHER = 1.0, 2.0\nNAME = "a"\nIS_ON = True\n',
        encoding="utf-8",
    )

    assert numbers_of(path) == {"MOST_DB", "LEAST_S", "SHARE", "BOTH", "OTHER"}
