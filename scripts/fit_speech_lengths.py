"""Fit how long the bundled voices take for words, for the check: `voice_lengths.json`.

    python3 scripts/fit_speech_lengths.py              voice, fit, and write the data file
    python3 scripts/fit_speech_lengths.py --compare    voice other words, and say how far off it is
    python3 scripts/fit_speech_lengths.py --cross      fit without each tenth take, and judge that

Invented sentences (`length_corpus`) are voiced by the builder's studio and measured from the first
to the last audible sample. For each voice the seconds of every feature are fitted to them by least
squares with a penalty (ridge) that draws the sounds to 0.12 s a vowel and 0.08 s a consonant, or,
for a voice of `LIKE`, to another voice's. Takes are kept in `--store`: another run is quick.
"""

from __future__ import annotations

import argparse
import json
import sys
from fractions import Fraction
from pathlib import Path
from tempfile import gettempdir
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "pipeline"), str(ROOT / "voices")]

from length_corpus import fragments, sentences  # noqa: E402  after the paths are set
from pausewright.checker.expect.length_features import features, utterance_words  # noqa: E402
from pausewright.checker.expect.voice_lengths import Estimate, estimates, known_voices  # noqa: E402
from pausewright.checker.judge.lost_words import judged_length  # noqa: E402
from pausewright.checker.judge.nuclei import nuclei  # noqa: E402
from pausewright.checker.limits.words import LENGTH_WEIGHT, SPREAD_OF_OTHERS, SPREADS  # noqa: E402
from pausewright.phones.english import VOWELS, Pronunciations  # noqa: E402
from pausewright.problems import Place  # noqa: E402
from pausewright.script.model import Speech  # noqa: E402
from pausewright.voice.studio import Studio  # noqa: E402
from pausewright.voice.voice_list import bundled_profiles  # noqa: E402
from pausewright.wording.line_elements import SpokenPart, Utterance  # noqa: E402

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

DATA: Final = ROOT / "pipeline/pausewright/checker/expect/voice_lengths.json"
RATE_HZ: Final = 44_100
PACE_WPM: Final = 140
SEED: Final = 7
LIKE: Final = {"joe": "iris", "emma": "iris", "george": "emma", "michael": "emma"}
"""Whose seconds a voice's are drawn to: the one that was fitted on more takes."""
PENALTY: Final = 1.0
SYLLABLE_PENALTY: Final = 3.0
LEVEL_DBFS: Final = -23.0
FREE: Final = frozenset({"one", "log syllables", "1 / syllables"})
_NOTHING: Final = Estimate(float("nan"), float("nan"), 0)
FOLDS: Final = 10
ODD: Final = 0.2
"""Natural logarithm of measured to estimated from which a take has no part in the fit."""


def utterances(voice: str, texts: Sequence[str]) -> list[Utterance]:
    """Return sentences to be said by a voice."""
    place = Place(Path("corpus.md"), 1, 1)
    speech = Speech(voice, "en-GB", Fraction(1), 1)
    return [Utterance((SpokenPart(text),), text, speech, place) for text in texts]


class Measured(NamedTuple):
    """What was measured of takes, one value for each."""

    seconds: list[float]
    """From the first to the last audible sample."""
    syllables: list[int]
    """As the check hears them."""


def studio_at(store: Path, pace_wpm: int, workers: int = 1) -> Studio:
    """Return a studio of the bundled voices that keeps its takes in a folder."""
    store.mkdir(parents=True, exist_ok=True)
    return Studio(
        profiles=bundled_profiles(),
        script_folder=store,
        pace_wpm=Fraction(pace_wpm),
        rate_hz=RATE_HZ,
        workers=workers,
    )


def measured(said: Sequence[Utterance], store: Path, pace_wpm: int, workers: int = 1) -> Measured:
    """Voice utterances, and return their lengths and the syllables heard in them."""
    studio = studio_at(store, pace_wpm, workers)
    studio.record(said)
    found = Measured([], [])
    for one in said:
        take = studio.take(one)
        wave = take.samples[take.edge_start : take.edge_end, 0] / 32768
        found.seconds.append(len(wave) / RATE_HZ)
        found.syllables.append(nuclei(wave, RATE_HZ, LEVEL_DBFS))
    return found


def fitted_syllables(
    rows: Sequence[dict[str, float]], syllables: Sequence[int], seconds: Sequence[float]
) -> dict[str, float]:
    """Return what each feature adds to the syllables heard: about one for a vowel."""
    names = sorted({name for row in rows for name in row})
    x = np.array([[row.get(name, 0.0) for name in names] for row in rows])
    drawn_to = np.array([float(name[:2] in VOWELS and name[2:] in {"0", "1"}) for name in names])
    weight = np.power(np.array(seconds), -0.7)
    a, b = x * weight[:, None], np.array(syllables) * weight
    penalty = SYLLABLE_PENALTY * np.eye(len(names))
    found = np.linalg.solve(a.T @ a + penalty, a.T @ b + penalty @ drawn_to)
    return {name: float(value) for name, value in zip(names, found, strict=True)}


def fitted(
    rows: Sequence[dict[str, float]], seconds: Sequence[float], like: dict[str, float]
) -> dict[str, float]:
    """Return the seconds of each feature; twice, the second time without what is far off."""
    names = sorted({name for row in rows for name in row} | set(like))
    x = np.array([[row.get(name, 0.0) for name in names] for row in rows])
    y = np.array(seconds)
    drawn_to = np.array([like.get(name, _usual_s(name)) for name in names])
    penalty = PENALTY * np.diag([0.05 if name in FREE else 1.0 for name in names])
    found = _ridge(x, y, drawn_to, penalty)
    near = np.abs(np.log(y / np.maximum(x @ found, 0.05))) < ODD
    found = _ridge(x[near], y[near], drawn_to, penalty)
    return {name: float(value) for name, value in zip(names, found, strict=True)}


def _usual_s(name: str) -> float:
    if name[:2] in VOWELS and name[2:] in {"0", "1"}:
        return 0.12
    return 0.08 if name.isupper() and len(name) <= 2 else 0.0


def _ridge(
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    drawn_to: NDArray[np.float64],
    penalty: NDArray[np.float64],
) -> NDArray[np.float64]:
    weight = np.power(y, -0.7)  # between least squares of seconds and of shares
    a, b = x * weight[:, None], y * weight
    return np.linalg.solve(a.T @ a + penalty, a.T @ b + penalty @ drawn_to).astype(np.float64)


def counted(said: Sequence[Utterance]) -> list[dict[str, float]]:
    """Return the features of utterances."""
    rows = [utterance_words(one) or [] for one in said]
    known = Pronunciations([word for row in rows for word, _, _ in row])
    return [
        features(row, known, is_question=one.words.endswith(("?", "?”")))
        for row, one in zip(rows, said, strict=True)
    ]


def fit(voices: Sequence[str], n: int, n_fragments: int, store: Path) -> None:
    """Voice, fit and write the data of these voices; those of others stay."""
    data = json.loads(DATA.read_text(encoding="utf-8")) if DATA.is_file() else {"voices": {}}
    data["origin"] = (
        "made by scripts/fit_speech_lengths.py from takes of the bundled voices; milliseconds "
        "for each feature of checker/expect/length_features.py"
    )
    for voice in voices:
        texts = [text for _, text in (*sentences(n, SEED), *fragments(n_fragments, SEED + 1))]
        said = utterances(voice, texts)
        like = data["voices"].get(LIKE.get(voice, ""), {}).get("milliseconds", {})
        rows, heard = counted(said), measured(said, store, PACE_WPM)
        found = fitted(rows, heard.seconds, {name: ms / 1000 for name, ms in like.items()})
        syllables = fitted_syllables(rows, heard.syllables, heard.seconds)
        data["voices"][voice] = {
            "pace_wpm": PACE_WPM,
            "n_takes": len(said),
            "milliseconds": {name: round(1000 * s, 2) for name, s in sorted(found.items())},
            "syllables": {name: round(n, 4) for name, n in sorted(syllables.items())},
        }
    DATA.write_text(json.dumps(data, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def cross(voices: Sequence[str], n: int, n_fragments: int, store: Path) -> None:
    """Print how far off each take of the fit is where the fit did not have it, and verdicts."""
    data = json.loads(DATA.read_text(encoding="utf-8"))
    for voice in voices:
        texts = [text for _, text in (*sentences(n, SEED), *fragments(n_fragments, SEED + 1))]
        said = utterances(voice, texts)
        like = data["voices"].get(LIKE.get(voice, ""), {}).get("milliseconds", {})
        drawn_to = {name: ms / 1000 for name, ms in like.items()}
        rows, heard = counted(said), measured(said, store, PACE_WPM)
        logs, told = [], []
        for fold in range(FOLDS):
            kept = [i for i in range(len(said)) if i % FOLDS != fold]
            own = [[values[i] for i in kept] for values in heard]
            left = [rows[i] for i in kept]
            each = fitted(left, own[0], drawn_to)
            syllables = fitted_syllables(left, [int(n) for n in own[1]], own[0])
            for i in range(fold, len(said), FOLDS):
                likely_s = sum(each.get(name, 0.0) * x for name, x in rows[i].items())
                likely = sum(syllables.get(name, 0.0) * x for name, x in rows[i].items())
                count = heard.syllables[i]
                verdict = judged_length(
                    heard.seconds[i], likely_s, likely, lambda n=count: n,  # type: ignore[misc]
                    spread=SPREADS.get(voice, SPREAD_OF_OTHERS),
                )  # fmt: skip
                logs.append(np.log(heard.seconds[i] / likely_s))
                if verdict is not None:
                    told.append(f"    {heard.seconds[i]:.2f} s of {likely_s:.2f}: {texts[i]}")
        print(
            f"{voice}: {len(said)} takes, {np.exp(min(logs)):.3f} to {np.exp(max(logs)):.3f}, "
            f"spread {np.std(logs):.3f}, {len(told)} told",
            *told,
            sep="\n",
        )


def compare(voices: Sequence[str], n: int, store: Path, pace_wpm: int, seed: int) -> None:
    """Voice words that the fit did not have, and print how far off their lengths are estimated."""
    for voice in voices:
        kinds, texts = zip(
            *(*sentences(n, seed, set_aside=True), *fragments(n // 4, seed, set_aside=True)),
            strict=True,
        )
        said = utterances(voice, texts)
        heard = measured(said, store, pace_wpm)
        seconds = np.array(heard.seconds)
        estimated = [one or _NOTHING for one in estimates(said, Fraction(pace_wpm))]
        share = seconds / np.array([one.seconds for one in estimated])
        of_count = np.array(
            [
                (n + 0.5) / (one.syllables + 0.5)
                for n, one in zip(heard.syllables, estimated, strict=True)
            ]
        )
        both = share**LENGTH_WEIGHT * of_count ** (1 - LENGTH_WEIGHT)
        print(f"{voice} at {pace_wpm}: {len(said)} takes, median {np.median(share):.3f}")
        for kind in dict.fromkeys(kinds):
            own = share[[one == kind for one in kinds]]
            with_count = both[[one == kind for one in kinds]]
            print(
                f"  {kind:13} {len(own):4}  {own.min():.3f} to {own.max():.3f}, "
                f"spread {np.log(own).std():.3f}; with syllables {with_count.min():.3f} to "
                f"{with_count.max():.3f}"
            )
        for i in (*np.argsort(share)[:6], *np.argsort(share)[-6:]):
            print(f"    {seconds[i]:.2f} s, {share[i]:.2f}, {both[i]:.2f}: {texts[i]}")


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--voices", nargs="*", default=["iris", "joe"])
    parser.add_argument("--takes", type=int, default=700)
    parser.add_argument("--fragments", type=int, default=150)
    parser.add_argument("--store", type=Path, default=Path(gettempdir()) / "pausewright-lengths")
    parser.add_argument("--compare", action="store_true")
    parser.add_argument("--cross", action="store_true")
    parser.add_argument("--pace", type=int, default=PACE_WPM)
    parser.add_argument("--seed", type=int, default=901)
    args = parser.parse_args()
    if args.compare:
        compare(args.voices, args.takes, args.store, args.pace, args.seed)
    elif args.cross:
        cross(args.voices, args.takes, args.fragments, args.store)
    else:
        known_voices.cache_clear()
        fit(args.voices, args.takes, args.fragments, args.store)


if __name__ == "__main__":
    main()
