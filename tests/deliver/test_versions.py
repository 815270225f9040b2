"""All versions of a script: voiced once, each checked, none telling what it is for."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import TYPE_CHECKING

import jsonschema
import pytest
import soundfile
from pausewright.checker.report.report import schema
from pausewright.deliver.build import CheckFailedError, build_versions
from pausewright.plan import extra_time
from pausewright.problems import ScriptError
from support.scripts.short_scripts import SMALL
from support.scripts.versions import END, HEAD, options, written
from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build import Built

NEEDS = """
dysgraphia-quarter:
  label: B
  basis: "Plover file seven"
  extra-time: 25 %
  stretch: [answer-time]
  share-of: listed-silences
  where: each-gap
hearing-third:
  label: C
  basis: "Heron file nine"
  readings: 3
slower-speech:
  label: D
  basis: "Curlew file eleven"
  pace: 80 %
  format: [wav, flac]
"""
PLANTED = ("dysgraphia", "hearing-third", "slower-speech", "plover", "heron", "curlew", "25 %")


def by_label(built: tuple[Built, ...]) -> dict[str, Built]:
    """Return builds by their label."""
    return {one.label: one for one in built}


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Return a script with four versions."""
    return written(tmp_path, SMALL, NEEDS)


@pytest.fixture(scope="module")
def all_built(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, Built], FakeEngine]:
    """Return all versions, built once for the tests that only look at them, and their voice."""
    folder = tmp_path_factory.mktemp("versions")
    engine = FakeEngine(ramp_s=0.02)
    made = options(folder, engines=fake_engines(engine))
    return by_label(build_versions(written(folder, SMALL, NEEDS), made)), engine


@pytest.fixture
def built(all_built: tuple[dict[str, Built], FakeEngine]) -> dict[str, Built]:
    """Return all versions, not to be changed."""
    return all_built[0]


def test_all_versions_are_built_and_good(built: dict[str, Built]) -> None:
    """Each version has its own folder, track, papers and records; its check passes."""
    assert list(built) == ["A", "B", "C", "D"]
    assert all(one.is_good and one.is_fresh for one in built.values())
    for label, one in built.items():
        names = [f.relative_to(one.folder).as_posix() for f in one.files]
        assert all(f.is_file() for f in one.files)
        assert f"confidential/build-record_{label}.json" in names
        assert any(name.startswith(f"version-{label}/") for name in names)
        assert (f"confidential/arrangement_{label}.txt" in names) == (label != "A")
    assert {f.suffix for f in built["D"].files if f.parent.name == "version-D"} >= {".wav", ".flac"}
    assert built["D"].length_s > built["A"].length_s


def test_each_report_proves_its_extra_time(built: dict[str, Built]) -> None:
    """The proof line stands in the report, with what was measured on the file."""
    proof = built["B"].checks[0].extra_time

    assert proof is not None
    assert proof.entitled_s == Fraction(17, 8)
    assert 0 <= proof.given_s - proof.entitled_s <= Fraction(2, 44_100)  # each place rounded up
    assert proof.measured_s is not None
    assert abs(proof.measured_s - proof.entitled_s) <= Fraction(2, 1000)
    text = (built["B"].folder / "confidential" / "check-report_B.txt").read_text("utf-8")
    assert "entitled 2.125 s, given 2.125 s in 2 places (measured 2.1" in text
    assert "none inside speech" in text
    report = json.loads(
        (built["B"].folder / "confidential" / "check-report_B.json").read_text("utf-8")
    )
    jsonschema.validate(report, schema())
    assert report["extra_time"]["n_places"] == 2
    assert built["A"].checks[0].extra_time is None


def test_nothing_in_the_room_tells_why(small: Path) -> None:
    """Need 20: names and bases stand on confidential files only; labels stand everywhere else."""
    built = build_versions(small, options(small.parent, formats=("mp3", "flac", "wav")))
    files = [f for one in built for f in one.files]
    confidential = [f for f in files if f.parent.name == "confidential"]

    assert len(files) - len(confidential) >= 4 * 7
    for file in files:
        assert not any(word in file.name.lower() for word in PLANTED), file
        if file not in confidential:
            content = file.read_bytes().lower()
            assert not any(word.encode() in content for word in PLANTED), file
    told = "".join(f.read_text("utf-8").lower() for f in confidential if f.suffix == ".txt")
    assert all(word in told for word in PLANTED if word != "25 %")


def test_each_utterance_and_pace_is_voiced_once(
    all_built: tuple[dict[str, Built], FakeEngine],
) -> None:
    """What versions share is voiced once: B and C differ by one instruction, D by the pace."""
    built, engine = all_built
    n_standard = built["A"].n_voiced

    assert [built[label].n_voiced for label in "BC"] == [1, 0]
    assert built["D"].n_voiced <= n_standard
    assert engine.n_synthesised == sum(one.n_voiced for one in built.values())


def test_unaffected_versions_are_not_built_again(small: Path) -> None:
    """After a change of one declaration only its version is built; the others' files stay."""
    first = build_versions(small, options(small.parent))
    before = {f: f.stat().st_mtime_ns for one in first for f in one.files if one.label != "B"}
    written(small.parent, SMALL, NEEDS.replace("25 %", "50 %"))
    again = by_label(build_versions(small, options(small.parent)))

    assert [label for label, one in again.items() if one.is_fresh] == ["B"]
    assert {f: f.stat().st_mtime_ns for f in before} == before


def test_a_named_version_is_built_beside_the_others(small: Path) -> None:
    """Building one version leaves those of the same edition, and drops undeclared ones."""
    build_versions(small, options(small.parent), ["A", "C"])
    folder = small.parent / "out" / "tide"
    build_versions(small, options(small.parent), ["dysgraphia-quarter"])
    assert sorted(p.name for p in folder.glob("version-*")) == [
        "version-A",
        "version-B",
        "version-C",
    ]

    written(small.parent, SMALL, "")
    build_versions(small, options(small.parent, formats=("flac",)))
    assert sorted(p.name for p in folder.glob("version-*")) == ["version-A"]


def test_building_twice_gives_the_same_bytes(small: Path) -> None:
    """Whatever the order of declarations and the number of workers: the same tracks."""

    def tracks(out: str, workers: int) -> dict[str, bytes]:
        made = options(small.parent, out=small.parent / out, workers=workers)
        return {
            one.label: f.read_bytes()
            for one in build_versions(small, made)
            for f in one.files
            if f.suffix == ".wav"
        }

    first = tracks("one", 2)
    blocks = NEEDS.strip().split("\n")
    starts = [i for i, row in enumerate(blocks) if not row.startswith(" ")]
    parts = [blocks[a:b] for a, b in zip(starts, [*starts[1:], None], strict=True)]
    turned = "\n".join("\n".join(part) for part in reversed(parts))
    written(small.parent, SMALL, turned)
    assert tracks("two", 1) == first


def test_the_standard_track_is_not_changed_by_its_versions(
    small: Path, built: dict[str, Built]
) -> None:
    """With or without other versions the standard track has the same samples."""
    alone = build_versions(small, options(small.parent), ["A"])[0]
    tracks = [next(f for f in one.files if f.suffix == ".wav") for one in (built["A"], alone)]

    assert tracks[0].read_bytes() == tracks[1].read_bytes()


def test_kinds_not_listed_are_the_same_samples(tmp_path: Path) -> None:
    """What an arrangement does not touch is sample-identical to the standard track."""
    script = written(tmp_path, SMALL.replace('[six seconds]{states="answer-time"}', "time"), NEEDS)
    built = by_label(build_versions(script, options(tmp_path)))
    waves = {
        label: soundfile.read(next(f for f in one.files if f.suffix == ".wav"), dtype="int16")[0]
        for label, one in built.items()
        if label in "AB"
    }
    end = 25 * 44_100  # inside the opening, before the first answer time
    added = round(built["B"].length_s * 44_100) - round(built["A"].length_s * 44_100)

    assert (waves["A"][:end] == waves["B"][:end]).all()
    assert added == round(Fraction(17, 8) * 44_100 + Fraction(1, 2))
    assert (waves["A"][-(2 * 44_100) :] == waves["B"][-(2 * 44_100) :]).all()


@pytest.mark.parametrize("kind", ["wav", "mp3"])
def test_a_quarter_more_on_five_ten_and_fifteen_seconds(tmp_path: Path, kind: str) -> None:
    """+25 % on 5, 10 and 15 s gives 6.25, 12.5 and 18.75 s on the delivered file, ±20 ms."""
    rows = "\n".join(
        f'{n}. What is {n} times {n}? {{answer-time="{time} s"}}'
        for n, time in enumerate((5, 10, 15), 1)
    )
    script = written(
        tmp_path, HEAD + "# Sums\n\n" + rows + END, NEEDS.split("hearing-third", maxsplit=1)[0]
    )
    built = by_label(build_versions(script, options(tmp_path, formats=(kind,))))
    rows_measured = [row for row in built["B"].checks[0].silences if row.kind == "answer-time"]

    for row, wanted in zip(rows_measured, ("25/4", "25/2", "75/4"), strict=True):
        assert row.measured_s is not None
        assert abs(row.measured_s - Fraction(wanted)) <= Fraction(20, 1000)
    assert built["B"].length_s - built["A"].length_s == Fraction(15, 2)


def test_a_wrong_sum_of_the_builder_is_found(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The check works the sum out by itself: a builder that gives less is proved wrong."""
    right = extra_time._Planner._each_gap

    def less(self: extra_time._Planner, amount_s: Fraction) -> None:
        right(self, amount_s)
        first = min(self._spread)
        self._spread[first] -= Fraction(1, 10)
        self._spread[max(self._spread)] += Fraction(1, 10)

    monkeypatch.setattr(extra_time._Planner, "_each_gap", less)
    with pytest.raises(CheckFailedError) as caught:
        build_versions(small, options(small.parent))
    codes = {f.code for check in caught.value.checks for f in check.errors}
    assert {"silence-short", "silence-long"} <= codes
    assert not (small.parent / "out" / "tide").exists()


def test_problems_of_all_versions_come_at_once(tmp_path: Path) -> None:
    """Two declarations that cannot be carried out are two problems in one pass."""
    bad = NEEDS.replace("readings: 3", "readings: 1") + (
        "e: {label: E, basis: f, extra-time: 25 %, share-of: whole-test, where: test-end}\n"
    )
    script = written(tmp_path, SMALL, bad)

    with pytest.raises(ScriptError) as caught:
        build_versions(script, options(tmp_path))
    errors = [p.message for p in caught.value.problems if p.severity == "error"]
    assert len(errors) == 2
    assert build_versions(script, options(tmp_path), ["B"])[0].is_good


def test_words_of_a_break_may_stand_in_questions(tmp_path: Path) -> None:
    """What is said before a break without words may be read, though a withheld question has it."""
    head = HEAD.replace("voice: joe\n", "voice: joe\ncaptions: instructions\n")
    asked = '1. They leave the sheet. How long is the break? {key="9" answer-time="3 s"}\n'
    last = '2. What is nine less two? {key="7" answer-time="3 s"}'
    script = written(
        tmp_path,
        f"{head}# Test\n\nListen.\n\n{asked}{last}{END}",
        'breaks: {label: B, basis: file 1, rest-breaks: {after-questions: "1"}}',
    )

    (built,) = build_versions(script, options(tmp_path), ["breaks"])

    assert built.is_good
