"""Measure a voice on invented sentences: what is heard, loudness, peaks, silences, false findings.

    python3 scripts/voice_figures.py emma george --utterances 300
    python3 scripts/voice_figures.py --table          only print what was measured before
    python3 scripts/voice_figures.py emma --takes --utterances 124   loudness, peaks, rises of takes

With `--takes` the utterances are those that `fit_speech_lengths.py` fits on, the first four fifths
of them sentences, and with its `--store` nothing has to be voiced.

Every twelve sentences of `length_corpus` are a script. It is voiced and laid as `build` does it,
written in every format, and measured; what was measured of a script is kept in `--store`, so that a
run that was stopped goes on. Takes are kept there too. With `--seed` other sentences are drawn.

The ear is Whisper's tiny.en, the aligner PocketSphinx, the loudness BS.1770 on each take, silences
those of ffmpeg's silencedetect on MP3 at 128 kbit/s, 40 dB below the speech.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import tempfile
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "pipeline"), str(ROOT / "voices")]

from bench import silences_by_ffmpeg  # noqa: E402  after the paths are set
from fit_speech_lengths import PACE_WPM, SEED, studio_at, utterances  # noqa: E402
from length_corpus import fragments, sentences  # noqa: E402
from lost_words import findings  # noqa: E402
from pausewright.checker.ear.compare import compare  # noqa: E402
from pausewright.checker.ear.hearing import Ear, hear  # noqa: E402
from pausewright.checker.ear.recogniser import BundledRecogniser  # noqa: E402
from pausewright.checker.ear.spoken import spoken  # noqa: E402
from pausewright.checker.faults.hard_edges import highest_rise_db  # noqa: E402
from pausewright.deliver.project import open_project  # noqa: E402
from pausewright.deliver.studios import studio_of  # noqa: E402
from pausewright.deliver.take_check import begins_whole  # noqa: E402
from pausewright.sound.meter import integrated_lufs  # noqa: E402
from pausewright.wording.line_elements import Utterance  # noqa: E402
from support.spoiling.files import write  # noqa: E402
from support.spoiling.tracks import good_track  # noqa: E402
from support.voices.word_aligner import Aligner  # noqa: E402

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from pausewright.voice.studio import Studio
    from support.spoiling.tracks import GoodTrack

RATE_HZ: Final = 44_100
LEVEL_LUFS: Final = -23.0
IN_A_SCRIPT: Final = 12
FORMATS: Final = ("wav", "mp3-64", "mp3-96", "mp3-128", "mp3-192", "mp3-320", "opus", "m4a")
LAST: Final = "Leave your sheet here, please."
"""Said in every script, and counted in none."""
ANSWER_S: Final = 1.5
NEAR_S: Final = 0.06
"""Within this an aligner's start of a word is taken as the same."""
NORMAL_95: Final = 1.959964

Row = dict[str, Any]


def script_text(voice: str, texts: Sequence[str]) -> str:
    """Return a script in which each sentence is a question."""
    lines = [
        "---", "title: Figures of a voice", "language: en-GB", f"voice: {voice}",
        'accept-voice-language: "measured here"', "---", "",
        f'# Sentences {{answer-time="{ANSWER_S} s"}}', "",
    ]  # fmt: skip
    for number, text in enumerate(texts, 1):
        lines += [f"{number}. {text}", ""]
    lines += ["# End", "", LAST, ""]
    return "\n".join(lines)


def measured(voice: str, texts: Sequence[str], store: Path, name: str, tools: Tools) -> Row:
    """Voice, lay, write and measure one script."""
    script = store / f"{name}.md"
    script.write_text(script_text(voice, texts), encoding="utf-8")
    project = open_project(script)
    if project.has_errors:
        sys.exit("\n".join(f"{p.place.line}: {p.message}" for p in project.problems))
    elements = [one for one in project.worded.all_elements() if isinstance(one, Utterance)]
    said = [one for one in elements if one.words != LAST]
    studio = studio_of(project, project.script.settings, is_usable=begins_whole)
    report = studio.record(said)
    track = good_track(script, studio_options={"is_usable": begins_whole})
    row: Row = {
        "voice": voice,
        "n": len(said),
        "seconds": sum(studio.n_sound_samples(one) for one in said) / RATE_HZ,
        "n_retaken": len(report.retaken),
        "turned_down_db": [round(one.gain_reduced_db, 2) for one in report.reduced],
        "lufs": [round(level, 2) for one in said if (level := loudness(studio, one)) is not None],
        "rises_db": rises(studio, said),
        "starts_off_s": starts(studio, said, tools.aligner),
        **by_ear(studio, said, tools),
        **by_check(track),
    }
    return row


class Tools:
    """What hears and aligns; loaded once."""

    def __init__(self) -> None:
        """Load both."""
        self.recogniser = BundledRecogniser()
        self.aligner = Aligner()


def _wave(studio: Studio, one: Utterance) -> NDArray[np.float64]:
    take = studio.take(one)
    return take.samples[take.edge_start : take.edge_end, 0].astype(np.float64) / 32768


def loudness(studio: Studio, one: Utterance) -> float | None:
    """Return the loudness of a take; None for one that is too short for the standard's blocks."""
    wave = _wave(studio, one)
    level = integrated_lufs(wave[:, np.newaxis], RATE_HZ) if len(wave) > 0.4 * RATE_HZ else None
    return level if level is not None and math.isfinite(level) else None


def rises(studio: Studio, said: Sequence[Utterance]) -> list[float]:
    """Return the highest rise of low sounds within each take, as the check measures it."""
    return [
        round(highest_rise_db(studio.take(one).samples[:, 0], RATE_HZ, LEVEL_LUFS), 1)
        for one in said
    ]


def starts(studio: Studio, said: Sequence[Utterance], aligner: Aligner) -> list[float]:
    """Return by how much words inside sentences begin later than the aligner says."""
    found: list[float] = []
    for one in said:
        times = studio.word_times(one)
        text = " ".join(word for word, _, _ in times)
        theirs = aligner.starts_s(_wave(studio, one).astype(np.float32), RATE_HZ, text)
        if len(theirs) == len(times):
            pairs = zip(times[1:], theirs[1:], strict=True)
            found += [round(start / RATE_HZ - their, 4) for (_, start, _), their in pairs]
    return found


def _samples(studio: Studio, one: Utterance) -> NDArray[np.int16]:
    return studio.take(one).samples


def by_ear(studio: Studio, said: Sequence[Utterance], tools: Tools) -> Row:
    """Return how many words and numbers there are, and what was heard in place of which."""
    heard = hear(list(said), partial(_samples, studio), RATE_HZ, Ear(tools.recogniser))
    row: Row = {"n_words": 0, "n_numbers": 0, "misheard": [], "n_wrong": 0, "n_wrong_numbers": 0}
    for one in heard:
        words = one.utterance.words
        steps = compare(spoken(words, is_heard=False), spoken(one.heard, is_heard=True)).steps
        n_wrong = sum(not step.is_same for step in steps)
        row["n_words"] += sum(bool(step.said) for step in steps)
        row["n_wrong"] += n_wrong
        row["n_numbers"] += len(one.numbers_said)
        is_right = one.numbers_said == one.numbers_heard or one.matter not in {"number", "order"}
        row["n_wrong_numbers"] += 0 if is_right else 1
        if n_wrong:
            row["misheard"].append(f"{words} | {one.heard} | {n_wrong}, {one.matter or 'same'}")
    return row


def by_check(track: GoodTrack) -> Row:
    """Return the check's findings in each format, and silences against ffmpeg's on MP3."""
    import imageio_ffmpeg  # noqa: PLC0415

    told: list[str] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for form in FORMATS:
            found = findings(track, track.wave, form, folder)
            told += [f"{form}: {one.severity} {one.code} {one.sentence}" for one in found]
        mp3 = write(folder, track.wave, track.rate_hz, "mp3-128", track=track)
        theirs = silences_by_ffmpeg(
            imageio_ffmpeg.get_ffmpeg_exe(), mp3, LEVEL_LUFS - 40, shortest_s=0.5
        )
    off: list[float | None] = []
    for one in track.waits():
        at_s = one.start_sample / track.rate_hz
        length_s = (one.end_sample - one.start_sample) / track.rate_hz
        beside = [length for start, length in theirs if abs(start - at_s) < 0.1]
        off.append(round(beside[0] - length_s, 4) if beside else None)
    return {"formats": list(FORMATS), "findings": told, "silences_off_s": off}


def takes(voice: str, n: int, store: Path) -> None:
    """Print what single takes come to, without a track, an ear or an aligner."""
    n_fragments = n // 5
    texts = [
        text for _, text in (*sentences(n - n_fragments, SEED), *fragments(n_fragments, SEED + 1))
    ]
    said = utterances(voice, texts)
    studio = studio_at(store, PACE_WPM)
    report = studio.record(said)
    lufs = np.array([level for one in said if (level := loudness(studio, one)) is not None])
    rise = np.array(rises(studio, said))
    down = [one.gain_reduced_db for one in report.reduced]
    print(
        f"{voice}: {len(said)} takes, {report.n_voiced} voiced now",
        f"  loudness of {len(lufs)}: {lufs.mean():.2f} LUFS, {lufs.min():.2f} to {lufs.max():.2f}; "
        f"within 1 dB of the aim {int((abs(lufs - LEVEL_LUFS) <= 1).sum())}",
        f"  peaks limited in {len(down)}, by more than 1 dB {sum(x > 1 for x in down)}, "
        f"{max(down, default=0):.1f} dB at most",
        f"  rises {rise.max():.1f} dB at most, 99 % to {np.percentile(rise, 99):.1f}, "
        f"{int((rise > 41).sum())} over 41",
        sep="\n",
        flush=True,
    )


def wilson(n_good: int, n: int) -> str:
    """Return the interval of 95 % of a share, in per cent (Wilson)."""
    if not n:
        return "none"
    share, z2 = n_good / n, NORMAL_95**2
    middle = (share + z2 / (2 * n)) / (1 + z2 / n)
    half = NORMAL_95 / (1 + z2 / n) * math.sqrt(share * (1 - share) / n + z2 / (4 * n * n))
    return f"{100 * (middle - half):.1f} to {100 * (middle + half):.1f}"


def misses(rows: Sequence[Row]) -> list[tuple[str, int]]:
    """Return each word that was misheard, by its utterance and its place there."""
    found = []
    for row in rows:
        for line in row["misheard"]:
            words, heard, _ = line.split(" | ")
            steps = compare(spoken(words, is_heard=False), spoken(heard, is_heard=True)).steps
            found += [(words, step.slot) for step in steps if not step.is_same]
    return found


def told(voice: str, rows: Sequence[Row], others: Sequence[Row], *, shows_all: bool) -> None:
    """Print the figures of a voice; `others` are those of all other voices."""
    n = sum(row["n"] for row in rows)

    def added(name: str) -> int:
        return int(sum(row[name] for row in rows))

    def joined(name: str) -> list[Any]:
        return [value for row in rows for value in row[name]]

    words, wrong = added("n_words"), added("n_wrong")
    numbers, bad = added("n_numbers"), added("n_wrong_numbers")
    lufs, off = np.array(joined("lufs")), np.abs(joined("starts_off_s"))
    silences = joined("silences_off_s")
    found = [1000 * abs(x) for x in silences if x is not None]
    down = [x for x in joined("turned_down_db") if x > 1]
    rise = np.array(joined("rises_db"))
    near = int((off <= NEAR_S).sum())
    shared = set(misses(others))
    own = sum(one not in shared for one in misses(rows))
    print(
        f"\n{voice}: {n} utterances, {added('seconds'):.0f} s",
        f"  words misheard       {wrong} of {words}: {100 * wrong / max(words, 1):.1f} %",
        f"    of this voice alone {own}: {100 * own / max(words, 1):.1f} % (the others are "
        "misheard in another voice, too)",
        f"  numbers as written   {numbers - bad} of {numbers}: "
        f"{100 * (numbers - bad) / max(numbers, 1):.1f} % ({wilson(numbers - bad, numbers)})",
        f"  false findings       {len(joined('findings'))} in {n * len(FORMATS)} "
        f"(utterances x {len(FORMATS)} formats)",
        f"  loudness             {lufs.mean():.2f} LUFS, {lufs.min():.2f} to {lufs.max():.2f}; "
        f"within 1 dB of the aim {int((abs(lufs - LEVEL_LUFS) <= 1).sum())} of {len(lufs)}",
        f"  peaks limited > 1 dB {len(down)} of {n}, {max(down, default=0):.1f} dB at most",
        f"  silences on MP3      {len(found)}, off by {max(found, default=0):.1f} ms at most; "
        f"{silences.count(None)} not found",
        f"  starts of words      {near} of {len(off)} within 60 ms: "
        f"{100 * near / max(len(off), 1):.1f} % ({wilson(near, len(off))})",
        f"  rises of low sounds  {rise.max():.1f} dB at most, 99 % to "
        f"{np.percentile(rise, 99):.1f}; {added('n_retaken')} other takes",
        sep="\n",
    )
    for line in (*joined("findings"), *(joined("misheard") if shows_all else ())):
        print(f"    {line}")


def main() -> None:
    """Measure, and print what was measured up to now."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("voices", nargs="*")
    parser.add_argument("--utterances", type=int, default=300)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--store", type=Path, default=Path(tempfile.gettempdir()) / "voice-figures")
    parser.add_argument("--table", action="store_true", help="measure nothing")
    parser.add_argument("--takes", action="store_true", help="only single takes")
    parser.add_argument("--all", action="store_true", help="print each word that was misheard")
    args = parser.parse_args()
    args.store.mkdir(parents=True, exist_ok=True)
    if args.takes:
        for voice in args.voices:
            takes(voice, args.utterances, args.store)
        return
    if not args.table:
        tools = Tools()
        texts = [text for _, text in sentences(args.utterances, args.seed)]
        for at in range(0, len(texts), IN_A_SCRIPT):
            for voice in args.voices:
                name = f"{voice}-{args.seed}-{at}"
                kept = args.store / f"{name}.json"
                if not kept.is_file():
                    part = texts[at : at + IN_A_SCRIPT]
                    row = measured(voice, part, args.store, name, tools)
                    kept.with_suffix(".part").write_text(json.dumps(row), encoding="utf-8")
                    kept.with_suffix(".part").replace(kept)
                    print(name, f"{row['n']} utterances", flush=True)
    rows = [json.loads(file.read_text("utf-8")) for file in sorted(args.store.glob("*.json"))]
    for voice in dict.fromkeys(row["voice"] for row in rows):
        parts: tuple[list[Row], list[Row]] = ([], [])
        for row in rows:
            parts[row["voice"] != voice].append(row)
        told(voice, *parts, shows_all=args.all)


if __name__ == "__main__":
    main()
