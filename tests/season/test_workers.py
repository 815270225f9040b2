"""Which workers may make a season, and what is said of those that may not."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pausewright.problems import OutputError
from pausewright.season.admission import Admission
from pausewright.season.alike import Introduction, VoiceAsk, introduce, sounds_alike, unlike
from pausewright.season.line import Entry
from pausewright.season.start import carried_of, engine_of

if TYPE_CHECKING:
    from support.voices.fake_voice import FakeEngine

MINE = Introduction(
    "here",
    {"python": "3.11.7", "machine": "x86_64", "numpy": "2.4.6", "distributed": "2026.8.0"},
    ("aa", "bb"),
    {"joe": "cc"},
    {"joe": "dd"},
    sees_folder=False,
)
ALIKE = replace(MINE, host="there", sees_folder=True)


def entry(*, must_see: bool | None = None) -> Entry:
    """Return what workers are asked."""
    return Entry(MINE, (), Path("here"), "", must_see)


@pytest.mark.parametrize(
    ("theirs", "sentence"),
    [
        (ALIKE, ""),
        (replace(ALIKE, versions={**MINE.versions, "machine": "arm64"}), ""),  # by its sound
        (
            replace(ALIKE, versions={**MINE.versions, "numpy": "2.0.1"}),
            "it has numpy 2.0.1, and this machine 2.4.6",
        ),
        (
            replace(ALIKE, versions={"python": "3.11.7", "numpy": "2.4.6"}),
            "it has distributed none, and this machine 2026.8.0",
        ),
        (
            replace(ALIKE, program=("ab", "bb")),
            "its Pausewright has other files under the same version",
        ),
        (replace(ALIKE, voices={"joe": "other"}), "its files of the voice ‘joe’ are others"),
        (replace(ALIKE, voices={}), "its files of the voice ‘joe’ are others"),
    ],
)
def test_what_differs_is_told(theirs: Introduction, sentence: str) -> None:
    """Versions, our own files and the voices' files, the first of them in words."""
    assert unlike(MINE, theirs) == sentence


def test_an_old_worker_stops_a_season_before_it_begins() -> None:
    """One that is unlike, and one that cannot even say what it is: one sentence each."""
    old = replace(ALIKE, versions={**MINE.versions, "distributed": "2024.1.0"})
    with pytest.raises(OutputError, match=r"tcp://b:1 does not make the same bytes: it has distr"):
        Admission(entry()).first({"tcp://a:1": ALIKE, "tcp://b:1": old})
    with pytest.raises(OutputError, match=r"tcp://b:1 does not make the same bytes: it cannot say"):
        Admission(entry()).first({"tcp://b:1": "it cannot say what it is"})


def test_one_that_sounds_otherwise_does_not_voice() -> None:
    """It lays, codes and checks; that is said."""
    admission = Admission(entry())
    admitted = admission.first({"a": ALIKE, "b": replace(ALIKE, sounds={"joe": "de"})})

    assert (admitted.n_workers, admitted.n_voicing) == (2, 1)
    assert admission.may(voice=True) == {"a"}
    assert admission.may(voice=False) == {"a", "b"}
    assert any("b (there) sounds otherwise" in note for note in admitted.notes)


@pytest.mark.parametrize(
    ("must_see", "sees", "shared"),
    [(None, True, True), (None, False, False), (True, True, True), (False, True, False)],
)
def test_how_results_travel(must_see: bool | None, sees: bool, shared: bool) -> None:  # noqa: FBT001
    """By the folder if all see it, else by the engine."""
    admission = Admission(entry(must_see=must_see))
    admitted = admission.first({"a": ALIKE, "b": replace(ALIKE, sees_folder=sees)})

    assert admitted.see_folder is shared


def test_a_folder_that_a_worker_does_not_see_is_told() -> None:
    """Where it must see it: which worker, which folder, and what else can be done."""
    with pytest.raises(OutputError, match="worker b does not see") as caught:
        Admission(entry(must_see=True)).first({"a": ALIKE, "b": replace(ALIKE, sees_folder=False)})
    assert "--results engine" in caught.value.hint


def test_a_worker_that_does_not_reach_the_store_is_told() -> None:
    """At the beginning with its reason; one that joins later is given nothing."""
    apart = replace(ALIKE, store_fault="the store ‘s3://tests’ does not give here: no such key")
    with pytest.raises(OutputError, match=r"worker b does not reach the store: .* no such key"):
        Admission(entry(must_see=False)).first({"a": ALIKE, "b": apart})
    admission = Admission(entry(must_see=False))
    admission.first({"a": ALIKE})
    admission.take("b", apart)
    assert admission.may(voice=False) == {"a"}


def test_later_workers_are_taken_or_left() -> None:
    """One that is unlike, or blind where results lie in the folder, is given nothing."""
    admission = Admission(entry())
    admission.first({"a": ALIKE})
    admission.take("b", ALIKE)
    admission.take("c", replace(ALIKE, sees_folder=False))
    admission.take("d", replace(ALIKE, voices={}))
    admission.take("e", "it cannot say what it is")

    assert admission.may(voice=False) == {"a", "b"}
    assert admission.known == set("abcde")
    admission.keep(["b", "c"])
    assert admission.may(voice=True) == {"b"}
    assert admission.known == {"b", "c"}


def test_each_voice_says_one_sentence(voice: FakeEngine, tmp_path: Path) -> None:
    """Equal machines sound alike, and the folder is seen by what a file in it holds."""
    asked = (VoiceAsk(tmp_path, "joe"), VoiceAsk(tmp_path, "iris"))
    mark = tmp_path / "here"
    mark.write_text("7", "utf-8")
    one, other = introduce(asked, mark, "7"), introduce(asked, mark, "8")

    assert voice.n_synthesised == 4
    assert sounds_alike(one, other)
    assert unlike(one, other) == ""
    assert (one.sees_folder, other.sees_folder) == (True, False)
    assert set(one.sounds) == {"joe", "iris"}
    voice.rate_hz += 1
    assert not sounds_alike(one, introduce(asked, mark, "7"))


@pytest.mark.parametrize(
    "address", ["somewhere", "tcp://", "tcp://host", "http://host:80", "tls://h:p", "tls://h:1/x"]
)
def test_what_is_no_address_is_refused(address: str) -> None:
    """One sentence, with how an address looks."""
    with pytest.raises(OutputError, match="is no address of a scheduler") as caught:
        engine_of(address, 0)
    assert "tls://HOST:8786" in caught.value.hint


def test_tests_do_not_go_over_a_network_in_the_open() -> None:
    """tcp:// to another machine only if it is wanted; on this machine it needs no cipher."""
    with pytest.raises(OutputError, match="would go there unencrypted"):
        engine_of("tcp://192.0.2.7:8786", 0)
    assert callable(engine_of("tcp://192.0.2.7:8786", 0, is_unencrypted=True))
    assert callable(engine_of("tcp://127.0.0.1:8786", 0))
    assert callable(engine_of("tls://192.0.2.7:8786", 0))


def test_options_that_do_not_go_together_are_refused() -> None:
    """Workers of this machine beside a scheduler elsewhere, and ways that are none."""
    with pytest.raises(OutputError, match="--workers are of this machine"):
        engine_of("tls://host:8786", 2)
    with pytest.raises(OutputError, match="--unencrypted belongs to --scheduler"):
        engine_of("", 2, is_unencrypted=True)
    with pytest.raises(OutputError, match="cannot travel by ‘foldr’"):
        carried_of("foldr")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("s3://", None),
        ("s3://me:secret@tests", "would be seen by everybody"),
        ("ftp://192.0.2.7/tests", "unencrypted"),
        ("zip://a::s3://b", "is no URL of a store"),
        ("s3://tests/a?versionId=2", "is no URL of a store"),
        ("://tests", "is no URL of a store"),
        ("s3://[1/x", "is no URL of a store"),
    ],
)
def test_what_is_no_store_is_refused(text: str, sentence: str | None) -> None:
    """No URL, one with a secret, one that carries tests in the open."""
    if sentence is None:
        assert carried_of(text)[0] == "store"
    else:
        with pytest.raises(OutputError, match=sentence):
            carried_of(text)
    assert carried_of("ftp://192.0.2.7/x/", is_unencrypted=True) == ("store", "ftp://192.0.2.7/x")
    assert carried_of("engine") == ("engine", "")
