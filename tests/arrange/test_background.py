"""`background: off` takes nothing out: it is refused, and what stays is named."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.problems import ScriptError
from support.scripts.versions import END, HEAD, written
from support.voices.fake_voice import fake_profile

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problem

OFF = "x: {label: B, basis: f, background: off}"
NOTHING = "no sound of a script lies under its speech, so ‘background: off’ changes nothing"


def told(folder: Path, body: str, *, recorded: str = "") -> list[Problem]:
    """Return what version B says of the background; one of its voices may be recordings."""
    project = open_project(
        written(folder, HEAD + body + END, OFF),
        {
            name: replace(profile, engine="recorded") if name == recorded else profile
            for name in ("joe", "iris")
            for profile in (fake_profile(folder, name),)
        },
    )
    with pytest.raises(ScriptError) as refused:
        made_versions(project)
    return [p for p in refused.value.problems if p.code == "arrangement-without-effect"]


def test_nothing_is_taken_out_of_voices(tmp_path: Path) -> None:
    """A script of voices alone has no background; the place is that of the declaration."""
    (problem,) = told(tmp_path, '1. Who? {answer-time="6 s"}')

    assert problem.message == NOTHING
    assert (problem.place.file.name, problem.place.line) == ("tide.arrangements.yaml", 2)
    assert problem.also == ()


def test_each_recording_is_named_with_its_lines(tmp_path: Path) -> None:
    """Files with words and without are named once each, with every line that plays them."""
    for name in ("pier.wav", "bell.wav"):
        soundfile.write(tmp_path / name, np.full(8000, 0.1), 8000)
    (problem,) = told(
        tmp_path,
        "Listen. ![bell](bell.wav)\n\n"
        '::: passage {answer-time="6 s"}\n![Ann](pier.wav){words="The pier is open."}\n:::\n\n'
        "And now. ![bell](bell.wav)",
    )

    assert problem.message == (
        f"{NOTHING}; what was recorded together stays as it is: bell.wav (lines 7, 13), "
        "pier.wav (line 10)"
    )
    assert [place.line for place in problem.also] == [7, 13, 10]


def test_a_voice_of_recordings_is_named(tmp_path: Path) -> None:
    """A voice with `engine: recorded` is recordings, too, where it is heard; another is not."""
    body = '1. Who? {answer-time="6 s" voice="iris"}'
    (heard,) = told(tmp_path, body, recorded="iris")
    (other,) = told(tmp_path, body.replace(' voice="iris"', ""), recorded="iris")

    assert heard.message.endswith("stays as it is: the recordings of the voice ‘iris’")
    assert other.message == NOTHING
