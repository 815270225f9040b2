"""A Piper model's configuration that is missing, of another language or rate, or no list."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from pausewright.problems import PausewrightError, VoiceError
from pausewright.voice.piper_config import read_config
from pausewright.voice.profile import VoiceProfile, same_language

if TYPE_CHECKING:
    from pathlib import Path

CONFIG = {
    "audio": {"sample_rate": 22_050},
    "espeak": {"voice": "en-gb-x-rp"},
    "inference": {"noise_scale": 0.667, "length_scale": 1, "noise_w": 0.8},
    "num_symbols": 256,
    "num_speakers": 1,
    "phoneme_id_map": {"^": [1], "$": [2], "_": [0], "a": [14]},
}


def _profile(folder: Path, language: str = "en-GB") -> VoiceProfile:
    (folder / "ours.onnx").write_bytes(b"not looked at")
    return VoiceProfile(
        "ours", "piper", language, "none", "a test", folder / "ours.voice.yaml", model="ours.onnx"
    )


def _write(folder: Path, **changes: object) -> None:
    (folder / "ours.onnx.json").write_text(json.dumps({**CONFIG, **changes}), encoding="utf-8")


def test_a_good_configuration_is_read(tmp_path: Path) -> None:
    """So that the refusals below are about what was changed."""
    _write(tmp_path)

    assert read_config(_profile(tmp_path)).sample_rate == 22_050


def test_a_missing_configuration_is_one_sentence(tmp_path: Path) -> None:
    """The model alone is no voice."""
    with pytest.raises(VoiceError, match=r"needs the file ours\.onnx\.json, which is not there"):
        read_config(_profile(tmp_path))


def test_a_model_of_another_language_is_refused(tmp_path: Path) -> None:
    """Its language is that of its own configuration; a profile cannot make it another."""
    _write(tmp_path, espeak={"voice": "de"})
    with pytest.raises(VoiceError, match="and its profile says en-GB"):
        read_config(_profile(tmp_path))

    assert read_config(_profile(tmp_path, "de-DE")).espeak_voice == "de"


@pytest.mark.parametrize("rate_hz", [0, 5, 96_000, -22_050])
def test_a_model_of_an_odd_rate_is_refused(tmp_path: Path, rate_hz: int) -> None:
    """The rate decides pitch and pace of all that it says."""
    _write(tmp_path, audio={"sample_rate": rate_hz})
    with pytest.raises(VoiceError, match="samples a second"):
        read_config(_profile(tmp_path))


@pytest.mark.parametrize("text", ["", "[]", "{", '{"audio": {}}', '"en"'])
def test_what_is_no_configuration_is_one_sentence(tmp_path: Path, text: str) -> None:
    """Empty, cut, or another file under its name."""
    (tmp_path / "ours.onnx.json").write_text(text, encoding="utf-8")
    with pytest.raises(PausewrightError, match=r"ours\.onnx\.json"):
        read_config(_profile(tmp_path))


def test_languages_by_their_other_names() -> None:
    """Mandarin is a part of Chinese, Bokmål one of Norwegian (ISO 639-3)."""
    assert same_language("cmn", "zh-CN")
    assert same_language("nb", "no-NO")
    assert not same_language("zh", "no")
