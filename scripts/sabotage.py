"""Spoil good tracks in every way that is known, and count what the check catches.

    python3 scripts/sabotage.py                     1,500 spoiled and 300 undamaged tracks and more
    python3 scripts/sabotage.py --times 4 --good 60  a quick look
    python3 scripts/sabotage.py --only silence       kinds whose name holds a word

    python3 scripts/sabotage.py --seed 5 6         two seeds at once, a process for each

Every fault is drawn by seed, and so are the tests: the same seed spoils the same tracks in the same
way. What is missed and every false alarm is printed with all that is needed to do it again.
"""

from __future__ import annotations

import argparse
import contextlib
import itertools
import os
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "pipeline"), str(ROOT / "voices")]
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line: several run at once

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from support.spoiling.kinds import Kind
    from support.spoiling.pairs import Pairs
    from support.spoiling.run import Tally
    from support.spoiling.tracks import GoodTrack

VOICES = ("emma", "joe", "george", "iris", "michael")
"""Voices of what is spoiled, all that speak English; undamaged tracks are in all bundled ones."""
LEVELS = ("-30 LUFS", "-26 LUFS", "-23 LUFS", "-20 LUFS", "-18 LUFS")
NOISES_DB = (None, None, 30, 36, 45)
"""How far below the speech room noise is added to undamaged tracks; None: none."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the harness and print its tables; return 1 if anything was missed or a false alarm."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--times", type=int, default=24, help="spoiled tracks of each kind, a seed")
    parser.add_argument("--good", type=int, default=300, help="undamaged tracks at least, a seed")
    parser.add_argument("--scripts", type=int, default=10, help="short scripts to voice, a seed")
    parser.add_argument("--seed", type=int, nargs="+", default=[1])
    parser.add_argument("--pairs", type=int, default=60, help="tracks with two faults, a seed")
    parser.add_argument("--only", nargs="*", default=[], help="kinds whose names hold these words")
    parser.add_argument("--demos", action="store_true", help="also whole demo scripts, undamaged")
    chosen = parser.parse_args(arguments)

    from support.spoiling import pairs, run  # noqa: PLC0415  after the paths are set

    start_s = time.monotonic()
    tally, two = run.Tally(), pairs.Pairs()
    with ProcessPoolExecutor(len(chosen.seed)) as pool:
        runs = [pool.submit(run_seed, chosen, seed) for seed in chosen.seed]
        for one in runs:
            of_seed, of_pairs = one.result()
            tally.merge(of_seed)
            two.merge(of_pairs)
    print()
    print(run.table(tally, kinds_with(chosen.only)))
    n_once, n_told = sum(tally.told_once.values()), sum(tally.readable.values())
    print(f"\nsingle faults told as one cause: {n_once} of {n_told}")
    print(f"two faults told as two causes or more: {two.n_apart} of {two.n}")
    print(f"false alarms: {len(tally.false_alarms)} on {tally.n_good} undamaged tracks")
    print("  " + ", ".join(f"{of} {n}" for of, n in sorted(tally.good_of.items())))
    print(f"{time.monotonic() - start_s:.0f} s")
    for line in (*tally.told_apart, *two.as_one):
        print(f"  told otherwise: {line}")
    for line in (*tally.named_otherwise, *tally.missed, *tally.false_alarms):
        print(f"  {line}")
    return 1 if tally.missed or tally.false_alarms else 0


def kinds_with(words: Sequence[str]) -> list[Kind]:
    """Return the kinds of damage with one of these words in their name; all without any."""
    from support.spoiling.kinds import KINDS  # noqa: PLC0415

    return [kind for kind in KINDS if not words or any(word in kind.name for word in words)]


def run_seed(chosen: argparse.Namespace, seed: int) -> tuple[Tally, Pairs]:
    """Spoil and check the tracks of one seed."""
    from support.spoiling import pairs, run  # noqa: PLC0415

    tally, two = run.Tally(), pairs.Pairs()
    with tempfile.TemporaryDirectory(prefix="pausewright-sabotage-") as name:
        folder = Path(name)
        tracks = list(short_tracks(folder, chosen.scripts, seed))
        for kind in kinds_with(chosen.only):
            for nth in range(chosen.times):
                spoil_next(kind, tracks, nth, seed, folder, tally)
            said = f"{tally.caught.get(kind.name, 0)} / {tally.total.get(kind.name, 0)}"
            print(f"{seed:>8} {said:>9}  {kind.name}", flush=True)
        for nth in range(chosen.pairs):
            two.spoil(tracks[nth % len(tracks)], nth, seed, folder)
        if chosen.good:
            good(folder, tracks, chosen.good, seed, tally)
        if chosen.demos:
            demos(folder, seed, tally)
    return tally, two


def spoil_next(
    kind: Kind, tracks: Sequence[GoodTrack], nth: int, seed: int, folder: Path, tally: Tally
) -> None:
    """Spoil the next track on which this kind is possible."""
    from support.spoiling.run import spoil_one  # noqa: PLC0415
    from support.spoiling.spoil import UnfitError  # noqa: PLC0415

    first = nth + len(kind.name)
    for at in range(first, first + len(tracks)):
        with contextlib.suppress(UnfitError):
            spoil_one(kind, tracks[at % len(tracks)], nth, seed, folder, tally)
            return


def short_tracks(folder: Path, n_scripts: int, seed: int) -> Iterator[GoodTrack]:
    """Yield short tests in all voices, others for each seed."""
    from support.spoiling.tracks import good_track, short_script  # noqa: PLC0415

    for nth in range(n_scripts):
        voice = VOICES[nth % len(VOICES)]
        path = folder / f"{voice}-{nth}.md"
        path.write_text(short_script(1000 * seed + nth, voice=voice), encoding="utf-8")
        yield good_track(path)


def good(folder: Path, tracks: Sequence[GoodTrack], n_least: int, seed: int, tally: Tally) -> None:
    """Check undamaged tracks, whole and in pieces.

    All voices, arrangements, levels, formats and noises in turn. A version keeps the level that its
    arrangement declares.
    """
    import numpy as np  # noqa: PLC0415
    from support.spoiling.files import FORMATS  # noqa: PLC0415
    from support.spoiling.kinds import PIECES  # noqa: PLC0415
    from support.spoiling.kinds_pieces import in_pieces  # noqa: PLC0415
    from support.spoiling.run import check_good, check_good_pieces, seed_of  # noqa: PLC0415
    from support.spoiling.spoil import room_noise, speech_db  # noqa: PLC0415
    from support.spoiling.undamaged import (  # noqa: PLC0415
        at_level,
        in_all_arrangements,
        in_all_voices,
    )

    sources = [*tracks, *in_all_voices(folder, seed), *in_all_arrangements(folder, seed)]
    cases = list(itertools.product(LEVELS, FORMATS, NOISES_DB))
    dice = seed_of(seed, "good")
    order = dice.permutation(len(cases)).tolist()
    for nth in range(n_least):
        level, form, below_db = cases[order[nth % len(cases)]]
        source = sources[nth % len(sources)]
        track = source if source.promise else at_level(source, level, folder)
        wave = track.wave
        if below_db is not None:
            noise_db = speech_db(track) - below_db
            wave = wave + room_noise(len(wave), track.rate_hz, noise_db, dice)
        what = f"{level} noise {below_db} #{nth}"
        for of in (f"voice {source.voice}", f"version {source.label}", f"format {form}", level):
            tally.good_of[of] += 1
        check_good(track, wave, form, folder, tally, what)
        noisy = replace(track, wave=wave.astype(np.float32))
        form = PIECES[nth % len(PIECES)]
        if any(getattr(one.step, "kind", "") == "hold" for one in noisy.waits()):
            check_good_pieces(noisy, in_pieces(noisy), form, folder, tally, what)
        if nth % 16 == 15:
            print(f"{len(tally.false_alarms):>9} of {tally.n_good} undamaged", flush=True)


def demos(folder: Path, seed: int, tally: Tally) -> None:
    """Check the whole demo scripts in every format, undamaged."""
    import shutil  # noqa: PLC0415

    from support.spoiling.files import FORMATS  # noqa: PLC0415
    from support.spoiling.run import check_good  # noqa: PLC0415
    from support.spoiling.tracks import good_track  # noqa: PLC0415

    copy = folder / "demo"
    ignore = shutil.ignore_patterns(".pausewright", "out")
    shutil.copytree(ROOT / "demo_scripts", copy, ignore=ignore)
    for script in sorted(copy.glob("*.md")):
        track = good_track(script)
        for form in FORMATS:
            check_good(track, track.wave, form, folder, tally, f"demo seed {seed}")


if __name__ == "__main__":
    raise SystemExit(main())
