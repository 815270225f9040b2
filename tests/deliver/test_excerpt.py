"""An excerpt of a built track: its samples are those of the track, as another reader finds them."""

from __future__ import annotations

import shutil
import wave
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.checker.files.same_stretch import same_stretch
from pausewright.deliver.build import build_versions
from pausewright.deliver.excerpt import make_excerpt
from pausewright.deliver.recheck import recheck
from pausewright.problems import PausewrightError, TrackError
from support.paper_text import text_of
from support.scripts.versions import END, HEAD, built_track, options, written
from support.voices.fake_voice import n_samples_of

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build_options import Options

TEXT = (
    HEAD
    + """# Test {answer-time="6 s" readings="2" between-readings="3 s" announce="Number {number}."}

1. How many boats lie on the quay?
2. How many boats have left?
3. How many are left now?

::: stop {for="20 s"}
Ask now.
:::

4. Which boat is the last?"""
    + END
)
LONGER = """longer: {label: B, basis: f, extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}"""
RATE_HZ = 44_100


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Options]:
    """Return a script built in two versions, and how."""
    folder = tmp_path_factory.mktemp("tide")
    script, how = written(folder, TEXT, LONGER), options(folder, formats=("wav", "mp3"))
    build_versions(script, how)
    return script, how


def frames(file: Path) -> bytes:
    """Return all samples of a WAV file, as the standard library reads them."""
    with wave.open(str(file)) as opened:
        return bytes(opened.readframes(opened.getnframes()))


@pytest.mark.parametrize(
    ("questions", "n_answers", "waits_s"),
    [("2-3", 2, 7.5), ("1", 1, 7.5), ("3", 1, 7.5), ("4", 1, 7.5)],
)
def test_it_is_a_stretch_of_the_track(
    built: tuple[Path, Options], tmp_path: Path, questions: str, n_answers: int, waits_s: float
) -> None:
    """All but lead-in, run-out and the last quarter second stand in the WAV, found by bytes."""
    script, how = built
    target = tmp_path / "again.wav"
    made = make_excerpt(script, questions, "B", target, how)
    track = built_track(how, "B", "wav")
    own, whole = frames(target), frames(track)
    inside = own[2 * round(made.slate_s * RATE_HZ) : -2 * (RATE_HZ + RATE_HZ // 4)]
    at = whole.find(inside)
    assert at == 2 * round(made.from_s * RATE_HZ)
    assert (made.compared.is_exact, made.compared.n_differing) == (True, 0)
    assert abs(made.compared.n_samples - len(inside) // 2) <= 1
    silent = np.frombuffer(own, np.int16)[:-RATE_HZ] == 0
    n_tail = int(np.argmin(silent[::-1]))
    assert n_tail / RATE_HZ == pytest.approx(waits_s, abs=0.2)
    assert len(own) // 2 == made.length_s * RATE_HZ
    text = text_of(made.sheet)
    assert text.count("Question ") >= n_answers
    assert "again.wav" in text
    assert "boat" not in text


def test_a_lossy_one_is_compared_too(built: tuple[Path, Options], tmp_path: Path) -> None:
    """An MP3 is near the track; the same stretch from another place is not."""
    script, how = built
    made = make_excerpt(script, "2", "", tmp_path / "again.mp3", how)
    assert not made.compared.is_exact
    assert made.compared.is_same
    track = built_track(how, "A", "mp3")
    start = round(made.from_s * RATE_HZ)
    for shift in (-200, 100, 4000):
        off = same_stretch(
            (made.file, round(made.slate_s * RATE_HZ)),
            (track, start + shift),
            made.compared.n_samples,
        )
        assert not off.is_same, shift


def test_a_slate_of_its_own_stands_before_it(tmp_path: Path) -> None:
    """The track's slate with its stop, and which questions; the sheet and the check tell of it."""
    slate = 'slate: "{title}, edition {edition}, version {version}. Can all of you hear this?"\n'
    script = written(tmp_path, TEXT.replace("voice: joe\n", f"voice: joe\n{slate}"), LONGER)
    how = options(tmp_path, formats=("wav", "mp3"))
    build_versions(script, how)
    made = make_excerpt(script, "2-3", "B", tmp_path / "again.wav", how)

    own, whole = frames(made.file), frames(built_track(how, "B", "wav"))
    n_slate = 2 * round(made.slate_s * RATE_HZ)
    assert own[n_slate : n_slate + RATE_HZ] == whole[2 * round(made.from_s * RATE_HZ) :][:RATE_HZ]
    silent = np.flatnonzero(np.frombuffer(whole, np.int16))
    first, last = 2 * int(silent[0]), 2 * int(silent[0] + 2 * RATE_HZ)
    assert own.find(whole[first:last]) == first, "both begin with the same words"
    heard = np.flatnonzero(np.frombuffer(own[:n_slate], np.int16))
    gaps = np.diff(heard)
    assert max(gaps) / RATE_HZ == pytest.approx(20, abs=0.1), "its stop"
    breaks = np.flatnonzero(gaps > RATE_HZ // 3)
    starts, ends = heard[[0, *(breaks + 1)]], heard[[*breaks, -1]]
    again = n_samples_of("Questions two to three again.")
    assert any(abs(int(n) - again) < RATE_HZ // 20 for n in ends - starts), "its own sentence"
    text = " ".join(text_of(made.sheet).split())
    assert "Stop: press pause" in text
    assert "read whole by two decoders" in text
    assert made.checked.is_good

    mp3 = make_excerpt(script, "2", "B", tmp_path / "once.mp3", how).file
    assert recheck(mp3).is_good
    with pytest.raises(TrackError, match="is an excerpt of a track"):
        recheck(mp3, script=script)


def test_without_a_slate_the_sentence_alone_stands_there(
    built: tuple[Path, Options], tmp_path: Path
) -> None:
    """Half a second, the sentence, two seconds; in a language without it nothing but silence."""
    script, how = built
    made = make_excerpt(script, "1", "", tmp_path / "again.wav", how)
    said_s = n_samples_of("Question one again.") / RATE_HZ
    assert float(made.slate_s) == pytest.approx(2.5 + said_s, abs=0.1)


def test_what_cannot_be_made_is_refused(built: tuple[Path, Options], tmp_path: Path) -> None:
    """No such question, no such ending, a file that is there, takes that are gone: none made."""
    script, how = built
    for questions, name in (("9", "a.wav"), ("1", "a.ogg"), ("x", "a.wav")):
        with pytest.raises(PausewrightError):
            make_excerpt(script, questions, "", tmp_path / name, how)
    (tmp_path / "b.pdf").write_bytes(b"mine")
    with pytest.raises(PausewrightError, match="left as it is"):
        make_excerpt(script, "1", "", tmp_path / "b.wav", how)
    shutil.move(script.parent / ".pausewright", tmp_path / "away")
    with pytest.raises(PausewrightError, match="no longer kept"):
        make_excerpt(script, "1", "", tmp_path / "a.wav", how)
    shutil.move(tmp_path / "away", script.parent / ".pausewright")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["b.pdf"]
