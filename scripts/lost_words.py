"""Cut words out of utterances at their edges, and count what the check finds, by kind of utterance.

    python3 scripts/lost_words.py                     cuts, readings and undamaged tracks
    python3 scripts/lost_words.py --scripts 2 --seed 9  a quick look, other words
    python3 scripts/lost_words.py --parts takes       single takes: many cuts in short time
    python3 scripts/lost_words.py --parts ear ear-honest   by the machine's ear alone: slow
    python3 scripts/lost_words.py --parts recognise    a third of the words, as with --recognise

Scripts are made of the words that the lengths were not fitted on (`length_corpus`), in each voice
whose lengths were fitted; several utterances of a track are cut at once, each in its own block.
Takes are kept in `--store`. What is missed and every false alarm is printed.
"""

from __future__ import annotations

import argparse
import math
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "pipeline"), str(ROOT / "voices")]

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.checker.ear.hearing import Ear
    from pausewright.checker.ear.recogniser import Recogniser
    from pausewright.checker.result.findings import Finding
    from support.spoiling.kinds_words import WordCut
    from support.spoiling.spoil import Dice
    from support.spoiling.tracks import GoodTrack, Wave

VOICES: Final = ("emma", "george", "michael", "iris", "joe")
FORMATS: Final = ("wav", "mp3-64", "mp3-128", "ogg", "opus", "m4a")
CUTS_OF_A_TAKE: Final = 16
HEARD_OF_A_TRACK: Final = 11
RECOGNISED_OF_A_TRACK: Final = 4
AT_ONCE: Final = 2
"""Utterances of one track that are cut at once."""
ROLES: Final = ("announcement", "instruction", "cue", "question", "passage")


@dataclass
class Count:
    """Cuts and how many were found, by kind of utterance."""

    total: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)

    def add(self, kind: str, what: str, *, is_found: bool) -> None:
        """Count one; `what` is told if it was not found."""
        self.total[kind] += 1
        self.found[kind] += is_found
        if not is_found:
            self.missed.append(what)

    def lines(self, most: int = 1000) -> list[str]:
        """Return a line for each kind, and what was missed."""
        rows = [f"  {role:13} {self.found[role]:4} of {n:4}" for role, n in self.total.items()]
        return [*rows, f"  all           {self.found.total():4} of {self.total.total():4}",
                *(f"    missed: {one}" for one in self.missed[:most])]  # fmt: skip


def script_text(seed: int, voice: str, readings: int) -> str:
    """Return a test of some fifteen utterances of all kinds, of words set aside from the fit."""
    from length_corpus import sentences  # noqa: PLC0415  after the paths are set

    pool: dict[str, list[str]] = {}
    for kind, text in sentences(400, 5000 + seed, set_aside=True):
        pool.setdefault(kind, []).append(text)
    instructions, cues, questions, told = (
        iter(pool[kind]) for kind in ("instruction", "cue", "question", "reading")
    )
    announce = next(
        t for t in ("Question {number}.", "Practice question {number}.", "Now question {number}.")
        [seed % 3 :]
    )  # fmt: skip
    lines = [
        "---", f"title: Words {seed}", "language: en-GB", f"voice: {voice}",
        'accept-voice-language: "made for tests"', f"readings: {readings}",
        *(["between-readings: 1.5 s"] if readings > 1 else []), f'announce: "{announce}"',
        "captions: everything", "captions-reason: made for tests", "---", "",
        "# Start", "", next(instructions), "", next(instructions), "",
        '::: stop {for="3 s"}', next(cues), ":::", "",
        '# Questions {answer-time="2 s"}', "",
        *(line for n in range(1, 5) for line in (f'{n}. {next(questions)} {{key="x"}}', "")),
        f'::: passage {{readings="{readings}" answer-time="2 s"'
        + (' between-readings="1.5 s"' if readings > 1 else "") + "}",
        next(told), "", next(told), ":::", "",
        '::: page-turn {for="2 s"}', next(cues), ":::", "",
        "# End", "", next(instructions), "",
    ]  # fmt: skip
    return "\n".join(lines)


def tracks(
    store: Path, voices: Sequence[str], n_scripts: int, seed: int, readings: int
) -> Iterator[GoodTrack]:
    """Yield tracks in all voices."""
    from support.spoiling.tracks import good_track  # noqa: PLC0415

    store.mkdir(parents=True, exist_ok=True)
    for nth in range(n_scripts):
        for voice in voices:
            path = store / f"{voice}-{seed}-{nth}-{readings}.md"
            path.write_text(script_text(1000 * seed + nth, voice, readings), encoding="utf-8")
            yield good_track(path)


def seconds_of(track: GoodTrack, cuts: Sequence[WordCut], one: WordCut) -> tuple[float, float]:
    """Return from when to when the rest of an utterance is heard once all cuts are made."""
    before = sum(other.end - other.start for other in cuts if other.end <= one.start)
    start = one.placed.start_sample - before
    length = one.placed.end_sample - one.placed.start_sample - (one.end - one.start)
    return start / track.rate_hz, (start + length) / track.rate_hz


def chosen(
    track: GoodTrack,
    dice: Dice,
    fits: Callable[[WordCut], bool],
    n: int = AT_ONCE,
    *,
    only_reading: int = 0,
) -> list[WordCut]:
    """Return cuts in up to `n` utterances, drawn among those that `fits` allows, in order."""
    from pausewright.plan.timeline import Say  # noqa: PLC0415
    from support.spoiling.kinds_words import word_cuts  # noqa: PLC0415

    places = [
        p for p in track.says(*ROLES)
        if isinstance(p.step, Say) and (not only_reading or p.step.reading == only_reading)
    ]  # fmt: skip
    found: list[WordCut] = []
    for at in dice.permutation(len(places)).tolist():
        usable = [one for one in word_cuts(track, places[at]) if fits(one)]
        if usable and len(found) < n:
            found.append(usable[int(dice.integers(len(usable)))])
    return sorted(found, key=lambda one: one.start)


def without(track: GoodTrack, cuts: Sequence[WordCut]) -> Wave:
    """Return the samples of a track without what is cut."""
    wave = track.wave
    for one in reversed(cuts):
        wave = np.concatenate([wave[: one.start], wave[one.end :]])
    return wave


def findings(
    track: GoodTrack, wave: Wave, form: str, folder: Path, ear: Ear | None = None
) -> tuple[Finding, ...]:
    """Return what the check finds of a track by its sound, and by an ear if there is one."""
    from pausewright.checker.check import check_track  # noqa: PLC0415
    from support.spoiling.files import write  # noqa: PLC0415
    from support.spoiling.run import EXPECTED_OF_A_GOOD_TRACK  # noqa: PLC0415

    file = write(folder, wave, track.rate_hz, form, track=track)
    result = check_track(file, track.worded, edition=track.edition, ear=ear)
    return tuple(
        f for f in result.findings
        if f.code not in EXPECTED_OF_A_GOOD_TRACK
        and not f.code.startswith(("chapter", "true-peak"))
    )  # fmt: skip


def count_cuts(
    track: GoodTrack,
    cuts: Sequence[WordCut],
    found: Sequence[Finding],
    count: Count,
    what: str,
    severities: Sequence[str] = ("error",),
) -> None:
    """Count which of several cuts have an error, or a doubt, at their own place."""
    from pausewright.plan.timeline import Say  # noqa: PLC0415

    for one in cuts:
        start_s, end_s = seconds_of(track, cuts, one)
        step = one.placed.step
        if not isinstance(step, Say):
            continue
        is_found = any(
            f.severity in severities
            and f.at_s is not None
            and start_s - 0.6 <= float(f.at_s) <= end_s + 0.3
            for f in found
        )
        count.total[step.role] += 1
        count.found[step.role] += is_found
        if not is_found:
            words = " ".join(word for word, _, _ in track.words[step.element])
            cut_s = (one.end - one.start) / track.rate_hz
            count.missed.append(
                f"{what} {step.role} {one.share:.2f} ({cut_s:.2f} s) of “{words}”: "
                f"{sorted({f.code for f in found})}"
            )


def count_by_ear(
    track: GoodTrack, cuts: Sequence[WordCut], recogniser: Recogniser, count: Count
) -> None:
    """Count of which cuts the machine's ear says that something is amiss, each heard by itself."""
    from pausewright.checker.ear.clips import as_clip  # noqa: PLC0415
    from pausewright.checker.ear.hearing import words_said  # noqa: PLC0415
    from pausewright.checker.ear.weigh import opinions, saying  # noqa: PLC0415
    from pausewright.checker.expect.voice_lengths import estimates  # noqa: PLC0415
    from pausewright.checker.limits.words import SHORTENED_SHARE  # noqa: PLC0415
    from pausewright.plan.timeline import Say  # noqa: PLC0415
    from pausewright.wording.line_elements import Utterance  # noqa: PLC0415

    for one in cuts:
        step = one.placed.step
        if not isinstance(step, Say) or not isinstance(step.element, Utterance):
            continue
        low, high = one.placed.start_sample - 2000, one.placed.end_sample + 4000
        wave = np.concatenate([track.wave[low : one.start], track.wave[one.end : high]])
        clip = as_clip(wave[:, np.newaxis], track.rate_hz)
        (likely,) = estimates([step.element], track.worded.script.settings.pace_wpm)
        measured_s = (high - 4000 - low - 2000 - (one.end - one.start)) / track.rate_hz
        is_shortened = likely is not None and measured_s < SHORTENED_SHARE * likely.seconds
        words = saying(words_said(step.element), is_shortened=is_shortened)
        (opinion,) = opinions([words], [clip], recogniser)
        # of an undamaged utterance that it is heard as the script says
        is_found = (opinion.verdict != "same") == (one.n_words > 0)
        count.total[step.role] += 1
        count.found[step.role] += is_found
        if not is_found:
            count.missed.append(f"“{step.element.words}” heard as “{opinion.heard}”")


def large(track: GoodTrack, dice: Dice) -> list[WordCut]:
    """Return cuts that are promised to be found, near the smallest such."""
    from support.spoiling.kinds_words import LEAST_S, LEAST_SHARE  # noqa: PLC0415

    def fits(one: WordCut) -> bool:
        long_enough = one.end - one.start >= LEAST_S * track.rate_hz
        return long_enough and LEAST_SHARE <= one.share <= 0.55

    return chosen(track, dice, fits)


def a_third(track: GoodTrack, dice: Dice, n: int = AT_ONCE) -> list[WordCut]:
    """Return cuts of a third of the words, rounded, one word at least."""
    return chosen(track, dice, lambda one: one.n_words == max(1, round(one.n_all / 3)), n)


def a_third_at_least(track: GoodTrack, dice: Dice, n: int) -> list[WordCut]:
    """Return cuts of a third of the words, rounded up: of four words two."""
    return chosen(track, dice, lambda one: one.n_words == math.ceil(one.n_all / 3), n)


def n_pauses(wave: Wave, rate_hz: int, speech_dbfs: float) -> int:
    """Return how many silences are inside one take, as the check hears them."""
    n = rate_hz // 100
    frames = np.abs(wave[: len(wave) // n * n].reshape(-1, n)).max(axis=1)
    from pausewright.checker.limits.sound import (  # noqa: PLC0415
        BELOW_SPEECH_DB,
        SHORTEST_SILENCE_S,
    )

    is_sound = frames > 10 ** ((speech_dbfs - BELOW_SPEECH_DB) / 20)
    at = np.flatnonzero(is_sound)
    return int(np.count_nonzero(np.diff(at) * n > SHORTEST_SILENCE_S * rate_hz))


def measure_takes(voices: Sequence[str], n: int, seed: int, store: Path) -> None:
    """Cut every run of words out of single takes, and print what their length alone tells.

    Only whole sentences, as they are voiced; the voice's pace is taken as it is declared.
    """
    from fit_speech_lengths import LEVEL_DBFS, PACE_WPM, RATE_HZ, utterances  # noqa: PLC0415
    from length_corpus import sentences  # noqa: PLC0415
    from pausewright.checker.expect.voice_lengths import estimates  # noqa: PLC0415
    from pausewright.checker.judge.lost_words import judged_length, quicker_s  # noqa: PLC0415
    from pausewright.checker.judge.nuclei import nuclei  # noqa: PLC0415
    from pausewright.checker.limits.words import (  # noqa: PLC0415
        SOFT_EDGES_S,
        SPREAD_OF_OTHERS,
        SPREADS,
    )
    from pausewright.voice.studio import Studio  # noqa: PLC0415
    from pausewright.voice.voice_list import bundled_profiles  # noqa: PLC0415
    from support.spoiling.kinds_words import LEAST_S, LEAST_SHARE  # noqa: PLC0415
    from support.spoiling.run import seed_of  # noqa: PLC0415

    promised, thirds, honest = Count(), Count(), Count()
    largest: dict[str, tuple[float, float]] = {}
    for voice in voices:
        kinds, texts = zip(*sentences(n, seed, set_aside=True), strict=True)
        said = utterances(voice, texts)
        studio = Studio(
            profiles=bundled_profiles(), script_folder=store, pace_wpm=Fraction(PACE_WPM),
            rate_hz=RATE_HZ, workers=1,
        )  # fmt: skip
        studio.record(said)
        for kind, one, likely in zip(kinds, said, estimates(said, Fraction(PACE_WPM)), strict=True):
            if likely is None:
                continue
            take = studio.take(one)
            whole = take.samples[take.edge_start : take.edge_end, 0] / 32768
            starts = [0, *(start for _, start, _ in studio.word_times(one)[1:]), len(whole)]
            n_words = len(starts) - 1
            runs = [(0, 0), *((i, j) for i in range(n_words) for j in range(i + 1, n_words + 1))]
            dice = seed_of(seed, voice, one.words)
            drawn = (1 + dice.permutation(len(runs) - 1)).tolist()[:CUTS_OF_A_TAKE]
            for i, j in (runs[k] for k in (0, *drawn)):
                n_cut = starts[j] - starts[i]
                wave = np.concatenate([whole[: starts[i]], whole[starts[j] :]])
                verdict = judged_length(
                    len(wave) / RATE_HZ, likely.seconds, likely.syllables,
                    lambda wave=wave: nuclei(wave, RATE_HZ, LEVEL_DBFS),  # type: ignore[misc]
                    SOFT_EDGES_S + likely.stray_s,
                    quicker_s([likely], n_pauses=n_pauses(wave, RATE_HZ, LEVEL_DBFS)),
                    SPREADS.get(voice, SPREAD_OF_OTHERS),
                )  # fmt: skip
                is_told = verdict is not None and verdict.is_sure
                share, cut_s = n_cut / len(whole), n_cut / RATE_HZ
                what = f"{voice} {kind} {share:.2f} ({cut_s:.2f} s) “{one.words}”"
                if i == j:
                    honest.add(kind, what, is_found=verdict is None)
                    continue
                if j - i == n_words or n_words < 2:
                    continue
                if not is_told and share > largest.get(kind, (0.0, 0.0))[0]:
                    largest[kind] = share, cut_s
                if n_cut >= LEAST_SHARE * len(whole) and n_cut >= LEAST_S * RATE_HZ:
                    promised.add(kind, what, is_found=is_told)
                if j - i == max(1, round(n_words / 3)):
                    thirds.add(kind, what, is_found=is_told)
    for name, count in (("honest", honest), ("promised", promised), ("a third", thirds)):
        print(f"\ntakes, {name}")
        print("\n".join(count.lines(most=12)), flush=True)
    print("\ntakes, largest share that was not found, with its seconds")
    for kind, (share, cut_s) in largest.items():
        print(f"  {kind:13} {share:.2f} ({cut_s:.2f} s)")


def noisy(track: GoodTrack, wave: Wave, below_db: float, dice: Dice) -> Wave:
    """Return samples with a room's noise."""
    from support.spoiling.spoil import room_noise, speech_db  # noqa: PLC0415

    noise = room_noise(len(wave), track.rate_hz, speech_db(track) - below_db, dice)
    return (wave + noise).astype(np.float32)


def main() -> None:
    """Read the command line and print the figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--parts", nargs="*", default=["large", "third", "readings", "honest"])
    parser.add_argument("--scripts", type=int, default=8, help="in each voice")
    parser.add_argument("--rounds", type=int, default=6, help="cuts of each track")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--voices", nargs="*", default=VOICES)
    parser.add_argument("--takes", type=int, default=240, help="of the part `takes`")
    parser.add_argument(
        "--store", type=Path, default=Path(tempfile.gettempdir()) / "pausewright-lost-words"
    )
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for part in args.parts:
            if part == "takes":
                for voice in args.voices:
                    measure_takes([voice], args.takes, args.seed, args.store)
                continue
            measure(part, args, folder)


def measure(part: str, args: argparse.Namespace, folder: Path) -> None:
    """Print the figures of one part."""
    from pausewright.checker.ear.hearing import Ear  # noqa: PLC0415
    from pausewright.checker.ear.recogniser import BundledRecogniser  # noqa: PLC0415
    from support.spoiling.kinds_words import WordCut  # noqa: PLC0415
    from support.spoiling.run import seed_of  # noqa: PLC0415

    count, alarms, n_honest = Count(), [], 0
    recogniser = BundledRecogniser() if part.startswith(("ear", "recog")) else None
    seed, rounds, readings = args.seed, args.rounds, 2 if part == "readings" else 1
    for track in tracks(args.store, args.voices, args.scripts, seed, readings):
        for nth in range(1 if part.startswith("ear") else rounds):
            dice = seed_of(seed, part, track.name, nth)
            form = FORMATS[(nth + len(track.name) + seed) % len(FORMATS)]
            what = f"{track.name} #{nth} {form}"
            if recogniser is not None:
                cuts = a_third(track, dice, HEARD_OF_A_TRACK)
                if part == "ear-honest":
                    cuts = [WordCut(p, p.end_sample, p.end_sample, 0, 0) for p in track.says()]
                if part != "recognise":
                    count_by_ear(track, cuts, recogniser, count)
                    continue
                cuts = a_third_at_least(track, dice, RECOGNISED_OF_A_TRACK)
                found = findings(track, without(track, cuts), form, folder, Ear(recogniser))
                count_cuts(track, cuts, found, count, what, ("error", "warning"))
                continue
            if part == "honest":
                wave = track.wave if nth % 3 else noisy(track, track.wave, 36, dice)
                found = findings(track, wave, form, folder)
                n_honest += len(track.says())
                alarms += [f"{what}: {f.severity} {f.code} {f.sentence}" for f in found]
                continue
            if part == "readings":
                cuts = chosen(
                    track, dice, lambda one: 0.15 <= (one.end - one.start) / 44_100 <= 0.4,
                    only_reading=2,
                )  # fmt: skip
            else:
                cuts = (a_third if part == "third" else large)(track, dice)
            found = findings(track, without(track, cuts), form, folder)
            count_cuts(track, cuts, found, count, what)
    print(f"\n{part}", flush=True)
    if part == "honest":
        print(f"  {len(alarms)} false of {n_honest} utterances")
        print("\n".join(f"    {one}" for one in alarms))
    else:
        print("\n".join(count.lines()), flush=True)


if __name__ == "__main__":
    main()
