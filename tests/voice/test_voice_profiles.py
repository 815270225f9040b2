"""Voice profiles: read strictly, problems with their lines, nothing heavy imported."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from pausewright.problems import ScriptError, VoiceError
from pausewright.voice.profile_reader import ProfileReader
from pausewright.voice.voice_list import (
    all_profiles,
    bundled_profiles,
    find_profile,
    language_warning,
)

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.voice.profile import VoiceProfile

GOOD = """\
engine: piper
language: en-GB
licence: as its owner says
origin: given to us
model: ours.onnx
speaker: 3
"""


def write(folder: Path, text: str, name: str = "ours") -> None:
    """Write a profile beside the script."""
    (folder / f"{name}.voice.yaml").write_text(text, encoding="utf-8")


def test_bundled_voices_are_complete() -> None:
    """Each bundled voice has its model, licence, origin, pace table and loudness offset."""
    profiles = bundled_profiles()
    assert {"joe", "iris", "emma", "george", "michael", "dora", "alex", "siwis"} == set(profiles)
    for profile in profiles.values():
        assert profile.bundled
        own = profile.style_file() if profile.style else profile.model_file()
        assert own.stat().st_size > 250_000
        assert profile.licence
        assert profile.origin
        assert len(profile.pace_table) > 4
        assert profile.loudness_offset_lu is not None
    assert "another data set" in profiles["joe"].origin
    assert {name: profile.name for name, profile in profiles.items()} == {n: n for n in profiles}


def test_a_voice_that_is_not_asked_for_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Reading every bundled profile would take a twentieth of the time of an outline."""
    read: list[str] = []
    whole = ProfileReader.read

    def noted(one: ProfileReader) -> VoiceProfile | None:
        read.append(one.file.stem)
        return whole(one)

    monkeypatch.setattr(ProfileReader, "read", noted)

    profiles = all_profiles(tmp_path)

    assert "emma" in profiles
    assert profiles["joe"] is profiles["joe"]
    assert read == ["joe"]


def test_a_users_voice(tmp_path: Path) -> None:
    """A profile beside the script is found under its file's name, with its fields."""
    write(tmp_path, GOOD)
    ours = all_profiles(tmp_path)["ours"]
    assert (ours.engine, ours.language, ours.speaker, ours.bundled) == ("piper", "en-GB", 3, False)
    with pytest.raises(VoiceError, match=r"needs the file ours\.onnx"):
        ours.model_file()
    (tmp_path / "ours.onnx").write_bytes(b"x")
    assert ours.model_file() == tmp_path / "ours.onnx"
    with pytest.raises(VoiceError, match=r"needs the file ours\.onnx\.json"):
        ours.config_file()


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        (GOOD.replace("engine: piper", "engine: pipr"), 1, "no engine ‘pipr’"),
        (GOOD + "speeker: 2\n", 7, "no `speeker:`"),
        (GOOD + "speaker: 2\n", 7, "twice"),
        (GOOD.replace("speaker: 3", "speaker: three"), 6, "no whole number"),
        (GOOD.replace("language: en-GB", "language: English (UK)"), 2, "is no language"),
        (GOOD.replace("licence: as its owner says\n", ""), 1, "`licence:` is missing"),
        (GOOD.replace("model: ours.onnx\n", ""), 1, "needs a model"),
        (GOOD + "name: our voice\n", 7, "is no name"),
        (GOOD + "name: joe\n", 1, "already a voice called ‘joe’"),
        (GOOD + "pace-table: 3\n", 7, "at least two rows"),
        (GOOD + "pace-table: [[1, 100], [2, 120]]\n", 7, "must fall"),
        (GOOD + "loudness-offset: much\n", 7, "is no number"),
        ("- one\n", 1, "consists of lines"),
        ("", 1, "consists of lines"),
        ("engine: [piper\n", 2, "cannot be read"),
        (GOOD.replace("origin: given to us", "origin: [a]"), 4, "needs one text"),
    ],
)
def test_problems_have_their_line(tmp_path: Path, text: str, line: int, message: str) -> None:
    """A fault in a profile is a problem at its line, with a hint."""
    write(tmp_path, text)
    with pytest.raises(ScriptError) as caught:
        all_profiles(tmp_path)
    problem = caught.value.problems[0]
    assert message in problem.message
    assert problem.place.line == line
    assert problem.hint


def test_all_problems_at_once(tmp_path: Path) -> None:
    """Two faulty profiles are told together."""
    write(tmp_path, GOOD.replace("piper", "pipr"), "one")
    write(tmp_path, GOOD + "speeker: 2\nspeekr: 2\n", "two")
    with pytest.raises(ScriptError) as caught:
        all_profiles(tmp_path)
    assert len(caught.value.problems) == 3


def test_unknown_voice_names_the_nearest(tmp_path: Path) -> None:
    """An unknown voice says which there are, the nearest, and how to add one."""
    with pytest.raises(
        VoiceError, match=r"no voice called ‘jo’; there are alex, .*iris, joe, michael"
    ) as caught:
        find_profile(all_profiles(tmp_path), "jo")
    assert "did you mean ‘joe’?" in caught.value.hint
    assert "jo.voice.yaml" in caught.value.hint


def test_language_warning_tells_region_from_language() -> None:
    """A US voice for a British script differs in region, for a French one in language."""
    joe = bundled_profiles()["joe"]
    assert language_warning(joe, "en-US") is None
    assert "region" in str(language_warning(joe, "en-GB"))
    assert "script’s language" in str(language_warning(joe, "fr-FR"))


def test_profiles_import_nothing_heavy() -> None:
    """Profiles and the store are read without numpy, onnxruntime or an audio library."""
    code = (
        "import sys, pausewright.voice.voice_list as p, pausewright.voice.store, "
        "pausewright.voice.engine_kinds as e; p.bundled_profiles(); e.built_in_engines(); "
        "print([m for m in ('numpy','onnxruntime','onnx','scipy','soxr','piper','hibari') "
        "if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
