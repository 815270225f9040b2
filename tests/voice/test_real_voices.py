"""The bundled voices of English with their real models: repeatable, at pace, honest in failure."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import parselmouth
import pytest
import soundfile
from pausewright.problems import ScriptError, VoiceError
from pausewright.voice import kokoro, piper
from pausewright.voice.booth import Booth
from pausewright.voice.calibrate import loudness_offset_lu, rate_wpm
from pausewright.voice.engine import Engine, RawTake, Request
from pausewright.voice.engine_kinds import built_in_engines
from pausewright.voice.shared_load import SharedLoad
from pausewright.voice.store import TakeStore
from pausewright.voice.studio import Studio
from pausewright.voice.voice_list import bundled_profiles
from pausewright.wording.letters import LETTER_A
from pausewright.wording.lexicon import bundled_lexicons
from pausewright.wording.line_elements import SpokenPart
from support.voices.fake_voice import utterance
from voice.test_speech_edges import silences_s

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

pytestmark = pytest.mark.voice

TEXTS = ("A crate holds nine melons.", "Six eights.", "Write the word lantern.", "Stop.")
SETTINGS = {"joe": 1.59, "iris": 0.69, "emma": 0.68, "george": 0.85}
"""About what brings each to 140 words a minute."""
SHARED = {"emma": "george", "george": "emma"}
"""Speakers of one network."""
RATE_HZ = 44_100


@pytest.fixture(scope="module")
def engines() -> dict[str, Engine]:
    """Return the engines, loaded once for all tests here."""
    profiles, kinds = bundled_profiles(), built_in_engines()
    return {name: kinds[profiles[name].engine].load(profiles[name]) for name in SETTINGS}


@pytest.fixture(scope="module")
def first_takes(engines: dict[str, Engine]) -> Mapping[str, list[RawTake]]:
    """Return the first take of each text by each voice, said once for all tests here."""
    return {
        name: [say(engine, SpokenPart(text), setting=SETTINGS[name]) for text in TEXTS]
        for name, engine in engines.items()
    }


@pytest.fixture(scope="module")
def second_takes(engines: dict[str, Engine]) -> Mapping[str, RawTake]:
    """Return the second take of the first text by each voice."""
    return {
        name: say(engine, SpokenPart(TEXTS[0]), setting=SETTINGS[name], take=2)
        for name, engine in engines.items()
    }


def say(engine: Engine, *spoken: SpokenPart, setting: float = 1.59, take: int = 1) -> RawTake:
    """Return a raw take of some words."""
    return engine.synthesise(engine.prepare(Request(spoken, "en-GB", setting, take)))


@pytest.mark.parametrize("name", SETTINGS)
def test_takes_repeat_in_any_order_and_beside_others(
    engines: dict[str, Engine], first_takes: Mapping[str, list[RawTake]], name: str
) -> None:
    """Forwards in one thread, backwards in two, and in a freshly loaded engine: equal bits."""
    profile, setting = bundled_profiles()[name], SETTINGS[name]
    requests = [Request((SpokenPart(text),), "en-GB", setting, 1) for text in TEXTS]
    engine = engines[name]
    first = [raw.samples.tobytes() for raw in first_takes[name]]
    prepared = [engine.prepare(r) for r in requests[::-1]]
    with ThreadPoolExecutor(2) as pool:
        second = [raw.samples.tobytes() for raw in pool.map(engine.synthesise, prepared)]
    assert second[::-1] == first
    fresh = built_in_engines()[profile.engine].load(profile)
    assert fresh.synthesise(fresh.prepare(requests[2])).samples.tobytes() == first[2]


def test_threads_change_no_sample_of_a_british_voice(
    first_takes: Mapping[str, list[RawTake]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The network gives on two threads the very samples of one: kept takes stay good."""
    monkeypatch.setattr(kokoro, "_NETWORK", SharedLoad())
    monkeypatch.setattr(kokoro, "THREADS", 1)
    alone = kokoro.KokoroEngine(bundled_profiles()["emma"])
    for text, ours in zip(TEXTS, first_takes["emma"], strict=True):
        theirs = say(alone, SpokenPart(text), setting=SETTINGS["emma"])
        assert np.array_equal(ours.samples, theirs.samples)
        assert ours.word_spans == theirs.word_spans


@pytest.mark.parametrize("name", SETTINGS)
def test_another_take_is_another_reading(
    engines: dict[str, Engine],
    first_takes: Mapping[str, list[RawTake]],
    second_takes: Mapping[str, RawTake],
    name: str,
) -> None:
    """Take 2 differs from take 1 and repeats as well."""
    one, two = first_takes[name][0].samples, second_takes[name].samples
    again = say(engines[name], SpokenPart(TEXTS[0]), setting=SETTINGS[name], take=2).samples
    assert not np.array_equal(one[: len(two)], two[: len(one)])
    assert np.array_equal(two, again)


@pytest.mark.parametrize("name", SETTINGS)
def test_every_sound_of_the_lexicon_can_be_said(engines: dict[str, Engine], name: str) -> None:
    """The letter A, both readings of every heteronym and every entry are known to the voice."""
    sounds = [LETTER_A]
    for lexicon in bundled_lexicons():
        sounds += [ipa for word in lexicon.heteronyms for _, ipa in word.readings]
        sounds += [e.ipa for e in lexicon.entries if e.ipa and name in (e.voices or (name,))]
    for ipa in sounds:
        spoken = (SpokenPart("Option "), SpokenPart(ipa, is_ipa=True), SpokenPart(" is right."))
        assert engines[name].prepare(Request(spoken, "en-GB", SETTINGS[name], 1)), ipa


@pytest.mark.parametrize(
    ("name", "target"),
    [
        ("joe", 140), ("joe", 112), ("iris", 140), ("iris", 112),
        *(pytest.param(name, target, marks=pytest.mark.long)
          for name in SHARED for target in (100, 130, 160)),
    ],
)  # fmt: skip
def test_table_in_the_profile_holds(tmp_path: Path, name: str, target: int) -> None:
    """The shipped table brings a bundled voice to its pace within 3 %, loudness within 0.3 LU."""
    booth = Booth(bundled_profiles()[name], built_in_engines(), TakeStore(tmp_path), 2)
    found = booth.calibration(Fraction(target))
    takes = booth.read_passage(found.setting)
    assert rate_wpm(takes) == pytest.approx(target, rel=0.03)
    assert loudness_offset_lu(takes) == pytest.approx(found.loudness_offset_lu, abs=0.3)


@pytest.mark.parametrize("name", SETTINGS)
@pytest.mark.parametrize(
    "words", ["In the middle of the night.", "I do not have to.", "Say it at the O, the U."]
)
def test_words_that_are_run_together_have_their_own_times(
    engines: dict[str, Engine], name: str, words: str
) -> None:
    """As many word times as words, in order, though the voice runs some of them together."""
    raw = say(engines[name], SpokenPart(words), setting=1.4 if name == "joe" else 0.75)
    flat = [at for span in raw.word_spans for at in span]

    assert len(raw.word_spans) == len(words.split())
    assert flat == sorted(flat)


@pytest.mark.parametrize("name", SHARED)
def test_another_take_of_a_british_voice_is_another_melody(
    engines: dict[str, Engine],
    first_takes: Mapping[str, list[RawTake]],
    second_takes: Mapping[str, RawTake],
    name: str,
) -> None:
    """It has another length or another pitch: F0 by praat-parselmouth, 20 cents or more."""
    lengths, pitches = set(), []
    third = say(engines[name], SpokenPart(TEXTS[0]), setting=SETTINGS[name], take=3)
    for raw in (first_takes[name][0], second_takes[name], third):
        lengths.add(len(raw.samples))
        sound = parselmouth.Sound(raw.samples.astype(np.float64), raw.rate_hz)
        f0_hz = sound.to_pitch().selected_array["frequency"]
        pitches.append(1200 * np.log2(np.median(f0_hz[f0_hz > 0])))
    assert len(lengths) == 3 or max(pitches) - min(pitches) >= 20


def test_a_long_sentence_is_said_in_pieces(engines: dict[str, Engine]) -> None:
    """More symbols than the network takes at once: all words have their times, in order."""
    words = ", then ".join(["turn the wheel to the left and the handle to the right"] * 6) + "."
    prepared = engines["emma"].prepare(Request((SpokenPart(words),), "en-GB", 1.0, 1))
    assert isinstance(prepared, kokoro.Prepared)
    assert len(prepared.pieces) > 1
    assert all(len(piece) <= kokoro.MOST_SYMBOLS for piece in prepared.pieces)

    raw = engines["emma"].synthesise(prepared)
    flat = [at for span in raw.word_spans for at in span]
    assert len(raw.word_spans) == len(words.split())
    assert flat == sorted(flat)


def test_word_times_add_up(engines: dict[str, Engine]) -> None:
    """Words follow each other inside the take, as many as are written here."""
    raw = say(engines["joe"], SpokenPart(TEXTS[0]))
    flat = [at for span in raw.word_spans for at in span]
    assert len(raw.word_spans) == 5
    assert flat == sorted(flat)
    assert flat[0] > 0
    assert flat[-1] < len(raw.samples)


def test_ipa_and_another_language(engines: dict[str, Engine]) -> None:
    """IPA gives exact sounds, a French word is not read as English, and the state comes back."""
    joe = engines["joe"]
    before = say(joe, SpokenPart(TEXTS[1])).samples
    exact = say(joe, SpokenPart("Say "), SpokenPart("ˈlæntən", is_ipa=True), SpokenPart("."))
    assert len(exact.word_spans) == 2
    french = say(joe, SpokenPart("Say "), SpokenPart("bonjour", language="fr-FR"), SpokenPart("."))
    english = say(joe, SpokenPart("Say "), SpokenPart("bonjour"), SpokenPart("."))
    assert not np.array_equal(french.samples[:9000], english.samples[:9000])
    assert np.array_equal(say(joe, SpokenPart(TEXTS[1])).samples, before)


def test_iris_takes_plain_ipa(engines: dict[str, Engine]) -> None:
    """The second voice turns IPA into its own signs and says which sign it lacks."""
    iris = engines["iris"]
    assert say(iris, SpokenPart("eɪtʃ", is_ipa=True), setting=0.72).samples.any()
    with pytest.raises(VoiceError, match="no sound for ‘ħ’"):
        say(iris, SpokenPart("ħa", is_ipa=True), setting=0.72)
    with pytest.raises(VoiceError, match="cannot say ‘bonjour’ in fr"):
        say(iris, SpokenPart("bonjour", language="fr"), setting=0.72)


@pytest.mark.parametrize("name", SETTINGS)
@pytest.mark.parametrize("text", ["?", "…", " ", "—"])
def test_nothing_to_say_is_an_error(engines: dict[str, Engine], name: str, text: str) -> None:
    """Text without a sound is refused with the text in the message."""
    with pytest.raises(VoiceError, match="nothing to say"):
        say(engines[name], SpokenPart(text), setting=SETTINGS[name])


def test_a_split_sentence_stays_one_sound(engines: dict[str, Engine]) -> None:
    """Where the pronunciation engine splits, one take comes back with a short pause inside."""
    raw = say(engines["joe"], SpokenPart("Mr. Smith of the mill. Turn over."))
    quiet = np.abs(raw.samples) < 1e-9
    runs = np.diff(np.flatnonzero(np.diff(np.concatenate(([0], quiet, [0])))))[::2]
    pauses = sorted(runs)[-3:]
    assert pauses[1:] == pytest.approx([5512, 5512], abs=2)


def test_a_longer_bank_of_noise_begins_alike(
    engines: dict[str, Engine], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sentence that needs more noise than the first bank holds sounds as with a large one."""
    expected = say(engines["joe"], SpokenPart(TEXTS[1])).samples
    monkeypatch.setattr(piper, "_FIRST_NOISE", 2_000)
    fresh = built_in_engines()["piper"].load(bundled_profiles()["joe"])
    assert np.array_equal(say(fresh, SpokenPart(TEXTS[1])).samples, expected)


def test_gaps_are_heard_as_written(tmp_path: Path) -> None:
    """Real takes laid with gaps of 1.5 s read back within 5 ms by ffmpeg's silencedetect.

    Threshold: 40 dB below the active speech level (check value GP-02: sample by sample).
    """
    studio = Studio(
        profiles=bundled_profiles(), script_folder=tmp_path, pace_wpm=Fraction(140), rate_hz=RATE_HZ
    )
    said = [utterance(t, tmp_path, voice=v) for v in SETTINGS for t in TEXTS]
    report = studio.record(said)
    assert report.n_voiced == len(said)
    gap = 66_150
    takes = [studio.take(u) for u in said]
    track = np.zeros(sum(t.n_sound_samples + gap for t in takes) + RATE_HZ, np.int16)
    at = RATE_HZ // 2
    ends = []
    for take in takes:
        lead = at - take.edge_start
        track[lead : lead + len(take.samples)] += take.samples[:, 0]
        at += take.n_sound_samples
        ends.append(at)
        at += gap
    file = tmp_path / "laid.wav"
    soundfile.write(file, track, RATE_HZ, subtype="PCM_16")
    threshold_db = -23.0 - report.voices[0].loudness_offset_lu - 40
    heard = silences_s(file, threshold_db)
    between = [end - start for start, end in heard if end - start > 1.2][:-1]
    assert between == pytest.approx([1.5] * (len(said) - 1), abs=0.005)


def test_all_that_cannot_be_said_is_told_at_once(tmp_path: Path) -> None:
    """Two faults in two voices are one error with both places."""
    studio = Studio(profiles=bundled_profiles(), script_folder=tmp_path, pace_wpm=Fraction(140))
    said = [
        utterance("?", tmp_path, line=3),
        utterance("Nine.", tmp_path, line=4),
        utterance("…", tmp_path, line=5, voice="iris"),
    ]
    with pytest.raises(ScriptError) as caught:
        studio.record(said)
    assert [p.place.line for p in caught.value.problems] == [3, 5]


def test_a_damaged_model_is_an_error(tmp_path: Path) -> None:
    """A user's model that is no model is an error that names the file, not a traceback."""
    profile = bundled_profiles()["joe"]
    (tmp_path / "bad.onnx").write_bytes(b"not a model")
    config = profile.config_file().read_text(encoding="utf-8")
    (tmp_path / "bad.onnx.json").write_text(config, encoding="utf-8")
    bad = type(profile)(
        "bad", "piper", "en-US", "none", "none", tmp_path / "bad.voice.yaml", model="bad.onnx"
    )
    with pytest.raises(VoiceError, match=r"bad\.onnx"):
        built_in_engines()["piper"].load(bad)


def test_the_second_voice_is_the_same_without_scipy() -> None:
    """Its engine takes scipy's transforms where scipy is installed; ours gives the same bytes."""
    code = (
        "import sys, hashlib\n"
        "if len(sys.argv) > 1: sys.modules['scipy'] = sys.modules['scipy.fft'] = None\n"
        "from pausewright.voice.engine import Request\n"
        "from pausewright.voice.engine_kinds import built_in_engines\n"
        "from pausewright.voice.voice_list import bundled_profiles\n"
        "from pausewright.wording.line_elements import SpokenPart\n"
        "engine = built_in_engines()['hibari'].load(bundled_profiles()['iris'])\n"
        "request = Request((SpokenPart('A crate holds nine melons.'),), 'en-GB', 0.72, 1)\n"
        "samples = engine.synthesise(engine.prepare(request)).samples\n"
        "print(hashlib.sha256(samples.tobytes()).hexdigest())"
    )
    sums = [
        subprocess.run(
            [sys.executable, "-c", code, *blocked], capture_output=True, text=True, check=True
        ).stdout
        for blocked in ([], ["without"])
    ]

    assert sums[0] == sums[1]
