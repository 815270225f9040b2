"""Build and measure thousands of random scripts: `python scripts/try_random_scripts.py 0 3000`.

Each number is a seed and always gives the same script. One in five is drawn without care for
silences side by side, and must be refused if it has some. Prints what fails, with its seed.
"""

from __future__ import annotations

import argparse
import multiprocessing
import shutil
import sys
import tempfile
import time
import traceback
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

EVERY_NTH_CARELESS = 5


def judged(chosen: tuple[int, bool]) -> tuple[int, str, bool]:
    """Judge the script of a seed, with or without sound; return what is wrong, if it was built."""
    from pausewright.deliver.build import CheckFailedError  # noqa: PLC0415
    from support.random_scripts.builds import judge, judge_without_sound  # noqa: PLC0415
    from support.random_scripts.scripts import drawn_by_seed  # noqa: PLC0415

    seed, with_sound = chosen
    folder = Path(tempfile.mkdtemp(prefix="random-script-"))
    try:
        drawn = drawn_by_seed(seed, careful=seed % EVERY_NTH_CARELESS != 0)
        if with_sound:
            return seed, "", judge(drawn, folder) is not None
        judge_without_sound(drawn, folder)
    except CheckFailedError as error:
        found = [f"{f.code}: {f.sentence}" for check in error.checks for f in check.errors]
        return seed, "the check fails: " + "; ".join(found[:3]), True
    except Exception as error:  # noqa: BLE001  whatever it is, it is a find
        frame = traceback.extract_tb(error.__traceback__)[-1]
        return seed, f"{type(error).__name__} in {frame.name}: {str(error)[:300]}", False
    else:
        return seed, "", False
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def main() -> int:
    """Read the arguments, run, print; 1 if something was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("first", type=int, help="first seed")
    parser.add_argument("after_last", type=int, help="one past the last seed")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--without-sound", action="store_true", help="read and plan only")
    chosen = parser.parse_args()
    began = time.monotonic()
    n_built = n_wrong = n_done = 0
    with multiprocessing.Pool(chosen.workers) as pool:
        for seed, wrong, was_built in pool.imap_unordered(
            judged,
            ((seed, not chosen.without_sound) for seed in range(chosen.first, chosen.after_last)),
            chunksize=4,
        ):
            n_done += 1
            n_built += was_built
            n_wrong += bool(wrong)
            if wrong:
                print(f"seed {seed}: {wrong}", flush=True)
            if n_done % 200 == 0:
                print(f"{n_done} scripts, {n_wrong} wrong", flush=True)
    passed_s = time.monotonic() - began
    print(f"{n_done} scripts, {n_built} built and measured, {n_wrong} wrong, {passed_s:.0f} s")
    return 1 if n_wrong else 0


if __name__ == "__main__":
    sys.exit(main())
