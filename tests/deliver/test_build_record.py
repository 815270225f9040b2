"""The build record: its schema, its figures, its hashes."""

from __future__ import annotations

import copy
import hashlib
import json
from fractions import Fraction
from importlib import resources
from typing import TYPE_CHECKING, Any

import pytest
from jsonschema import Draft202012Validator
from pausewright.deliver.build_key import PACKAGES, installed_versions
from pausewright.deliver.outputs.job import OutputFile
from pausewright.deliver.outputs.record_output import (
    declared_silences,
    recorded_file,
    recorded_track,
)
from pausewright.plan.clock import exact_seconds
from pausewright.plan.timeline import Wait
from pausewright.problems import OutputError
from pausewright.records.record_files import read_as, record_text
from pausewright.records.record_schemas import PUBLISHED, published_schema, schema_text
from pausewright.records.shapes import (
    NOT_HEARD,
    RECORD_FORMAT,
    BuildRecord,
    RecordedFile,
    RecordedSilence,
    RecordedTrack,
    RecordedVoice,
)
from support.tracks.sound_samples import laid_out, small_test, wait

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path


def example(**changes: Any) -> BuildRecord:
    """Return a record of an invented build."""
    timeline = laid_out(small_test())
    fields: dict[str, Any] = {
        "title": "Road",
        "edition": "K7M2",
        "version_label": "A",
        "arrangement": "standard",
        "build_key": "0" * 64,
        "loudness_target_lufs": "-23",
        "files": (RecordedFile("version-A/road.mp3", "track", 1_000, "a" * 64),),
        "voices": (RecordedVoice("joe", "en-US", "CC0", "a package", "piper", "1.6", "140"),),
        "track": recorded_track(timeline, 1),
        "declared": declared_silences(timeline),
        "versions": installed_versions(PACKAGES),
        "warnings": (),
        "heard_by": NOT_HEARD,
        "record_format": RECORD_FORMAT,
        "state": "draft",
        "signed": (),
    }
    return BuildRecord(**(fields | changes))


def validator() -> Draft202012Validator:
    """Return a validator of the published schema, itself valid."""
    published = published_schema("build_record.schema.json")
    Draft202012Validator.check_schema(published)
    return Draft202012Validator(published)


def test_a_record_fits_its_schema() -> None:
    """A full record is valid against the published schema (JSON Schema 2020-12)."""
    data = json.loads(record_text(example()))

    assert list(validator().iter_errors(data)) == []
    assert data["heard_by"] == NOT_HEARD == "Not heard by a person yet"


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("edition",), ""),
        (("build_key",), "x"),
        (("record_format",), 2),
        (("files", 0, "sha256"), "A" * 64),
        (("files", 0, "path"), "../road.mp3"),
        (("files", 0, "path"), "/home/road.mp3"),
        (("files", 0, "path"), "C:/road.mp3"),
        (("files", 0, "path"), "version-A\\road.mp3"),
        (("files",), []),
        (("track", "length_s"), "1.5 s"),
        (("track", "n_samples"), 1.5),
        (("track", "channels"), 3),
        (("declared", "answer-time", "total_s"), "1,5"),
        (("declared", "answer-time", "count"), 0),
        (("declared", "Answer Time"), {"count": 1, "total_s": "1"}),
        (("voices", 0, "language"), "en_US"),
        (("versions",), {"python": "3.11"}),
        (("candidate",), "somebody"),
        (("warnings",), [""]),
    ],
)
def test_a_broken_record_does_not_fit(where: Sequence[Any], value: Any, tmp_path: Path) -> None:
    """Each damage to a valid record is found by the schema, and is not read."""
    data = json.loads(record_text(example()))
    spot = data
    for name in where[:-1]:
        spot = spot[name]
    spot[where[-1]] = value
    file = tmp_path / "record.json"
    file.write_text(json.dumps(data), encoding="utf-8")

    assert list(validator().iter_errors(data))
    if where != ("versions",):  # what is named there is for people
        assert read_as(file, BuildRecord) is None


def test_a_record_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    """Reading gives the value that was written; what is not there or no JSON gives none."""
    record, file = example(title="Chemin é"), tmp_path / "record.json"
    file.write_text(record_text(record), encoding="utf-8")

    assert read_as(file, BuildRecord) == record
    assert read_as(tmp_path / "no.json", BuildRecord) is None
    for damaged in (b"", b"[]", b"\xff\xfe", b"[" * 100_000, file.read_bytes()[:-3]):
        file.write_bytes(damaged)
        assert read_as(file, BuildRecord) is None


@pytest.mark.parametrize("name", sorted(PUBLISHED))
def test_published_schemas_are_those_of_the_shapes(name: str) -> None:
    """The files of the package are what the shapes give."""
    kept = resources.files("pausewright.records").joinpath(name).read_text(encoding="utf-8")

    assert kept == schema_text(name), "run: python -m pausewright.records.record_schemas"


@pytest.mark.parametrize("field", sorted(json.loads(record_text(example()))))
def test_every_field_is_required(field: str) -> None:
    """A record without one of its fields does not fit."""
    data = copy.deepcopy(json.loads(record_text(example())))
    del data[field]

    assert list(validator().iter_errors(data))


def test_declared_silences_are_exact_sums() -> None:
    """Counted by hand: 0.75 s three times and 0.8 s twice as default pauses; 5 + 10 + 15 s."""
    timeline = laid_out(small_test())

    assert declared_silences(timeline) == {
        "lead-in": RecordedSilence(1, "0.5"),
        "default-pause": RecordedSilence(5, "3.85"),
        "between-readings": RecordedSilence(3, "9"),
        "answer-time": RecordedSilence(3, "30"),
        "hold": RecordedSilence(1, "2"),
        "run-out": RecordedSilence(1, "1"),
    }


def test_sums_of_thirds_stay_exact() -> None:
    """Three silences of 20/3 s are 20 s, and two are 40/3 s."""
    third = Wait("answer-time", Fraction(20, 3))

    assert declared_silences(laid_out([third] * 3))["answer-time"].total_s == "20"
    assert declared_silences(laid_out([third] * 2))["answer-time"].total_s == "40/3"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Fraction(6), "6"),
        (Fraction(0), "0"),
        (Fraction(15, 2), "7.5"),
        (Fraction(1, 8), "0.125"),
        (Fraction(1, 1000), "0.001"),
        (Fraction(20, 3), "20/3"),
        (Fraction(100), "100"),
    ],
)
def test_exact_seconds(value: Any, text: str) -> None:
    """A time with an end is a decimal, any other a fraction; both read back exactly."""
    assert exact_seconds(value) == text
    assert Fraction(text) == value


def test_the_length_of_a_track() -> None:
    """By hand: 0.5 s at 44.1 kHz are 22,050 samples; one sample more is 22,051/44,100 s."""
    assert recorded_track(laid_out([wait("0.5")]), 2) == RecordedTrack(44_100, 2, 22_050, "0.5")
    timeline = laid_out([wait("0.50001")])
    assert recorded_track(timeline, 1).length_s == "22051/44100"


def test_files_are_hashed_from_the_disk(tmp_path: Path) -> None:
    """Size and SHA-256 are those of the bytes on the disk; the path is relative."""
    (tmp_path / "version-A").mkdir()
    path = tmp_path / "version-A" / "é.vtt"
    path.write_bytes(b"abc")

    # FIPS 180-2, appendix B.1: the digest of "abc"
    assert recorded_file(OutputFile(path, "captions"), tmp_path) == RecordedFile(
        "version-A/é.vtt",
        "captions",
        3,
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    )
    large = tmp_path / "large"
    large.write_bytes(bytes(3_000_001))
    assert (
        recorded_file(OutputFile(large, "track"), tmp_path).sha256
        == hashlib.sha256(bytes(3_000_001)).hexdigest()
    )


def test_a_file_that_vanished(tmp_path: Path) -> None:
    """A file that cannot be read back is an error."""
    with pytest.raises(OutputError, match="cannot be read back"):
        recorded_file(OutputFile(tmp_path / "no", "track"), tmp_path)


def test_versions_name_what_is_there() -> None:
    """Python and the package itself are always named; what is not installed is left out."""
    versions = installed_versions(["pausewright", "no-such-package-anywhere"])

    assert sorted(versions) == ["machine", "pausewright", "python", "system"]
