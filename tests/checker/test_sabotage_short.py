"""The sabotage harness in short: one spoiled track of each kind, at its smallest size."""

from __future__ import annotations

from typing import TYPE_CHECKING, get_args

import pytest
from pausewright.arrange.arrangement import FieldName
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from ruamel.yaml import YAML
from support.spoiling.kinds import KINDS
from support.spoiling.kinds_pieces import in_pieces
from support.spoiling.run import (
    EXPECTED_OF_A_GOOD_TRACK,
    Tally,
    check_good,
    findings_of,
    spoil_one,
)
from support.spoiling.tracks import good_track, short_script
from support.spoiling.undamaged import ARRANGEMENTS

if TYPE_CHECKING:
    from pathlib import Path

    from support.spoiling.kinds import Kind
    from support.spoiling.tracks import GoodTrack

SEED = 5
ORDINARY_AND_LONG = [
    kind
    if kind.needs != "sound" or at % 4 == 0
    else pytest.param(kind, marks=pytest.mark.long, id=kind.name)
    for at, kind in enumerate(KINDS)
]
"""All kinds of files, captions and scripts, and a quarter of those in the sound: the others, which
test_check_faults.py and test_check_sabotage.py try without a voice, in the long set."""


@pytest.fixture(scope="module")
def track(tmp_path_factory: pytest.TempPathFactory) -> GoodTrack:
    """Return a short test in the faster of the two voices."""
    path = tmp_path_factory.mktemp("good") / "quay.md"
    path.write_text(short_script(3, voice="iris"), encoding="utf-8")
    return good_track(path)


@pytest.mark.voice
def test_there_are_at_least_forty_kinds() -> None:
    """The harness knows forty kinds of damage and more, all with different names."""
    assert len({kind.name for kind in KINDS}) == len(KINDS) >= 40


@pytest.mark.voice
@pytest.mark.parametrize("kind", ORDINARY_AND_LONG, ids=lambda kind: kind.name)
def test_each_kind_is_caught_at_its_smallest(kind: Kind, track: GoodTrack, tmp_path: Path) -> None:
    """What the table in docs/the-check.md states as always caught is caught."""
    tally = Tally()
    spoil_one(kind, track, 0, SEED, tmp_path, tally)

    assert tally.missed == []


@pytest.mark.voice
def test_one_fault_is_told_as_one_cause(track: GoodTrack, tmp_path: Path) -> None:
    """A question that is left out moves all behind it: dozens of findings, one cause."""
    (dropped,) = (kind for kind in KINDS if kind.name == "question dropped")
    tally = Tally()
    spoil_one(dropped, track, 0, SEED, tmp_path, tally)

    assert tally.told_apart == []
    assert tally.told_once == {"question dropped": 1}


@pytest.mark.voice
@pytest.mark.parametrize("form", ["wav", "mp3-64", "ogg"])
def test_an_undamaged_track_gives_no_alarm(form: str, track: GoodTrack, tmp_path: Path) -> None:
    """Nothing is found on a good track."""
    tally = Tally()
    check_good(track, track.wave, form, tmp_path, tally, "good")

    assert tally.false_alarms == []


@pytest.mark.voice
@pytest.mark.parametrize("form", ["wav", "mp3-32", "mp3-64", "mp3-128", "ogg", "opus"])
def test_undamaged_pieces_give_no_alarm(form: str, track: GoodTrack, tmp_path: Path) -> None:
    """A coder that starts anew with each piece makes none of them another sound."""
    found = findings_of(track, in_pieces(track), form, tmp_path)

    assert [one.sentence for one in found if one.code == "piece-differs"] == []
    if form in {"wav", "mp3-64", "mp3-128"}:
        assert {one.code for one in found} <= EXPECTED_OF_A_GOOD_TRACK


def test_the_harness_has_every_arrangement() -> None:
    """Each field that changes what is heard or captioned is declared for undamaged tracks."""
    declared = YAML(typ="safe").load(ARRANGEMENTS)
    not_heard = {
        "transcript", "format", "split", "background", "share-of", "test-time", "print",
        "extra-time-confirmed",
    }  # fmt: skip

    named = {name for fields in declared.values() for name in fields}
    assert named >= set(get_args(FieldName)) - not_heard


@pytest.mark.voice
def test_an_undamaged_version_keeps_its_promises(tmp_path: Path) -> None:
    """A version of the harness is checked with its promise, and nothing is found.

    Its questions have marks of both kinds: pauses change nothing where there are none.
    """
    path = tmp_path / "quay.md"
    path.write_text(short_script(12, voice="iris"), encoding="utf-8")
    path.with_suffix(".arrangements.yaml").write_text(ARRANGEMENTS.lstrip(), encoding="utf-8")
    (version,) = made_versions(open_project(path), ["at-marks"])
    track = good_track(path, version=version)
    tally = Tally()
    check_good(track, track.wave, "wav", tmp_path, tally, "version E")

    assert track.label == "E"
    assert track.promise is not None
    assert tally.false_alarms == []
