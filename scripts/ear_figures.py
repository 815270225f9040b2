"""Measure the check's ear: what it catches of wrong words that were voiced, and false alarms.

    python scripts/ear_figures.py                     everything (half an hour on two idle cores)
    python scripts/ear_figures.py damage --tracks 60  damaged tracks only, 60 of each kind at most
    python scripts/ear_figures.py clean               undamaged tracks only
    python scripts/ear_figures.py numbers             numbers heard against numbers written

Each damaged track is built from a changed script and checked against the good one. Every track is
shorter than a minute. Run it with the project's own interpreter.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections import Counter
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal
from zlib import crc32

from ear_corpus import DAMAGE, Question, questions
from pausewright.checker.check import check_track
from pausewright.checker.ear.hearing import Ear, hear
from pausewright.checker.ear.recogniser import BundledRecogniser
from pausewright.deliver.project import open_project
from pausewright.plan.steps import steps
from pausewright.plan.timeline import timeline
from pausewright.sound.lay import lay
from pausewright.sound.track_files import Target, write_tracks
from pausewright.voice.studio import Studio
from pausewright.wording.line_elements import SoundElement, Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray
    from pausewright.checker.result.findings import CheckResult
    from pausewright.deliver.project import Project
    from pausewright.sound.take import Take

RATE_HZ: Final = 44_100
VOICES: Final = ("emma", "george", "michael", "iris", "joe")
TAIL: Final = "\n# Close\n\nLeave your sheet here.\n"
IN_A_TRACK: Final = 2
"""Questions of a damaged track."""
IN_A_GOOD_TRACK: Final = 6
LONGEST_S: Final = 60
SWAPPED: Final = "two questions of equal length in each other's place"
BORROWED: Final = "a reading of another question"
HEAD: Final = """---
title: Figures for the ear
language: en-GB
voice: {voice}
accept-voice-language: "measured here"
paragraph-pause: 0.7 s
between-readings: 0.8 s
readings: {readings}
---

# Test {{answer-time="1.5 s"}}

"""


class Workshop:
    """Builds tracks of questions and checks them."""

    def __init__(self, folder: Path, voices: Sequence[str]) -> None:
        """Keep takes and tracks of these voices in a folder."""
        self._folder = folder
        self.voices = voices
        self.recogniser = BundledRecogniser()
        self.checked_s = 0.0
        self.track_s = 0.0
        self.speech_s = 0.0

    def project(
        self, asked: Sequence[Question], voice: str, *, readings: int = 1, name: str = "good"
    ) -> Project:
        """Write and read a script."""
        rows = [f"{n}. {one.source}\n" for n, one in enumerate(asked, 1)]
        return self.read(HEAD.format(voice=voice, readings=readings) + "\n".join(rows) + TAIL, name)

    def read(self, text: str, name: str) -> Project:
        """Write and read the text of a script."""
        file = self._folder / f"{name}.md"
        file.write_text(text, encoding="utf-8")
        project = open_project(file)
        project.raise_errors()
        return project

    def studio(self, project: Project) -> Studio:
        """Return a studio that keeps its takes for all tracks."""
        return Studio(
            profiles=project.profiles, script_folder=self._folder, pace_wpm=Fraction(140),
            rate_hz=RATE_HZ,
        )  # fmt: skip

    def track(self, project: Project, kind: Literal["wav", "mp3"] = "mp3") -> Path:
        """Voice, lay and write a track, without any check."""
        studio = self.studio(project)
        utterances = [p for p in project.worded.all_elements() if isinstance(p, Utterance)]
        studio.record(utterances)
        self.speech_s += sum(studio.n_sound_samples(one) for one in utterances) / RATE_HZ

        def take(element: SoundElement) -> Take:
            if not isinstance(element, Utterance):
                sys.exit("the questions hold sounds other than words")
            return studio.take(element)

        line = timeline(
            steps(project.worded), lambda element: take(element).n_sound_samples, RATE_HZ
        )
        file = self._folder / f"track.{kind}"
        blocks = lay(line, take, channels=1)
        write_tracks(blocks, [Target(file, kind)], rate_hz=RATE_HZ, channels=1)
        if line.n_samples > LONGEST_S * RATE_HZ:
            sys.exit(f"a track is {line.n_samples / RATE_HZ:.0f} s long")
        return file

    def check(self, track: Path, good: Project) -> CheckResult:
        """Check a track against the good script, with the ear."""
        started_s = time.process_time()
        result = check_track(
            track, good.worded, edition=None, ear=Ear(self.recogniser), second_decoder=False
        )
        self.checked_s += time.process_time() - started_s
        self.track_s += result.n_frames / result.rate_hz
        return result


def heard_findings(result: CheckResult) -> list[str]:
    """Return the ear's findings, one row each."""
    return [
        f"{f.severity} {f.code} (question {f.question}) says: {f.said} | heard: {f.heard}"
        for f in result.findings
        if f.code.startswith("heard-")
    ]


# ---- damaged tracks -------------------------------------------------------------------------


def asked_for(kind: str, pool: list[Question], r: random.Random) -> list[Question]:
    """Take questions for one track from a pool; two of equal length where the damage needs it."""
    first = pool.pop()
    if kind in {SWAPPED, BORROWED}:
        second = min(pool[-200:], key=lambda one: abs(len(one.said) - len(first.said)))
        pool.remove(second)
        return [first, second]
    asked = [first, *(pool.pop() for _ in range(IN_A_TRACK - 1))]
    r.shuffle(asked)
    return asked


def damaged(
    kind: str, asked: list[Question], r: random.Random
) -> tuple[list[Question], set[str]] | None:
    """Return questions with one damage, and the labels that must be named; None if none fits."""
    if kind == SWAPPED:
        return asked[::-1], {"1", "2"}
    for i, one in enumerate(asked):
        found = DAMAGE[kind](one, r)
        if found is not None:
            return [*asked[:i], found, *asked[i + 1 :]], {str(i + 1)}
    return None


def measure_damage(shop: Workshop, kinds: Sequence[str], most: int, seed: int) -> None:
    """Print caught and total by kind of damage."""
    for kind in kinds:
        row: Counter[str] = Counter()
        missed: list[str] = []
        # seeded by the kind, so that kinds may be measured in several runs
        pools = {
            voice: questions(1500, seed + crc32(f"{kind}{voice}".encode())) for voice in shop.voices
        }
        r = random.Random(seed)  # noqa: S311  test data, no secret
        while row["tracks"] < most:
            voice = shop.voices[row["tracks"] % len(shop.voices)]
            asked = asked_for(kind, pools[voice], r)
            if kind == BORROWED:
                result, wrong = _borrowed(shop, asked, voice)
            else:
                spoilt = damaged(kind, asked, r)
                if spoilt is None:
                    continue
                changed, wrong = spoilt
                good = shop.project(asked, voice)
                result = shop.check(shop.track(shop.project(changed, voice, name="bad")), good)
            row["tracks"] += 1
            named: dict[str, str] = {}
            for f in result.findings:
                label = str(f.question or "")
                if f.code.startswith("heard-") and named.get(label) != "error":
                    named[label] = f.severity
            found = [named.get(label) for label in wrong]
            row["caught"] += all(found)
            row["errors"] += all(one == "error" for one in found)
            row["beside"] += sum(label not in wrong for label in named)
            if not all(found):
                missed.append(f"{kind} ({voice}): " + " / ".join(q.said for q in asked))
                missed += [f"    {one}" for one in heard_findings(result)]
        print(
            f"{kind:52} {row['caught']:4}/{row['tracks']:<4} {row['errors']:4} as errors; "
            f"{row['beside']} findings beside",
            flush=True,
        )
        for one in missed:
            print(f"    missed: {one}", flush=True)


def _borrowed(shop: Workshop, asked: list[Question], voice: str) -> tuple[CheckResult, set[str]]:
    """Check a track in which the second reading of question 2 is that of question 1."""
    good = shop.project(asked, voice, readings=2)
    text = HEAD.format(voice=voice, readings=1)
    rows = []
    for n, one in enumerate((asked[0], asked[0], asked[1], asked[0]), 1):
        wait_s = "0.8 s" if n % 2 else "1.5 s"
        rows.append(f'{n}. {one.source} {{answer-time="{wait_s}"}}\n')
    bad = shop.read(text + "\n".join(rows) + TAIL, "bad")
    return shop.check(shop.track(bad), good), {"2"}


# ---- undamaged tracks -----------------------------------------------------------------------


def measure_clean(shop: Workshop, n_utterances: int, seed: int) -> None:
    """Print false alarms over undamaged tracks of all voices."""
    for n, voice in enumerate(shop.voices):
        pool = questions(n_utterances, seed + 100 + n)
        told: list[str] = []
        n_heard = n_errors = n_figures = 0
        while pool and n_figures * len(shop.voices) < n_utterances:
            asked = [pool.pop() for _ in range(min(len(pool), IN_A_GOOD_TRACK))]
            project = shop.project(asked, voice)
            result = shop.check(shop.track(project), project)
            n_heard += result.ear.n_heard if result.ear else 0
            n_figures += sum(
                any(sign.isdigit() for sign in element.shown)
                for element in project.worded.all_elements()
                if isinstance(element, Utterance)
            )
            told += heard_findings(result)
            n_errors += sum(
                f.severity == "error" for f in result.findings if f.code.startswith("heard-")
            )
        print(
            f"{voice}: {len(told)} findings ({n_errors} of them errors) over {n_heard} utterances, "
            f"{n_figures} with figures",
            flush=True,
        )
        for one in told:
            print(f"    {one}")


# ---- numbers --------------------------------------------------------------------------------


def _samples(studio: Studio, utterance: Utterance) -> NDArray[np.int16]:
    return studio.take(utterance).samples


def measure_numbers(shop: Workshop, n_utterances: int, seed: int) -> None:
    """Print in what share of takes the numbers heard are those that the script writes."""
    for n, voice in enumerate(shop.voices):
        project = shop.project(
            questions(n_utterances // len(shop.voices), seed + 200 + n), voice, name="numbers"
        )
        studio = shop.studio(project)
        elements = {
            element.words: element
            for element in project.worded.all_elements()
            if isinstance(element, Utterance) and any(sign.isdigit() for sign in element.shown)
        }
        started_s = time.process_time()
        found = hear(
            list(elements.values()), partial(_samples, studio), RATE_HZ,
            Ear(shop.recogniser),
        )  # fmt: skip
        took_s = time.process_time() - started_s
        wrong = [one for one in found if one.verdict != "same"]
        equal = sum("".join(one.numbers_said) == "".join(one.numbers_heard) for one in found)
        speech_s = sum(len(studio.take(one).samples) for one in elements.values()) / RATE_HZ
        print(
            f"{voice}: numbers as written in {len(found) - len(wrong)} of {len(found)} utterances; "
            f"digit for digit in the transcript in {equal}; {took_s / speech_s:.2f} of the speech"
        )
        for one in wrong:
            print(f"    {one.verdict} {one.matter}: {one.utterance.words} | {one.heard}")


def main() -> None:
    """Measure what was asked for."""
    parser = argparse.ArgumentParser(description="Measure the check's ear.")
    parser.add_argument("parts", nargs="*", help="clean, numbers, damage; all unless given")
    parser.add_argument("--tracks", type=int, default=19, help="damaged tracks of each kind")
    parser.add_argument("--kind", default="", help="only kinds of damage with this in their name")
    parser.add_argument("--utterances", type=int, default=320, help="undamaged utterances")
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--voices", nargs="*", default=VOICES)
    args = parser.parse_args()
    kinds = [kind for kind in (*DAMAGE, SWAPPED, BORROWED) if args.kind in kind]
    with tempfile.TemporaryDirectory() as folder:
        shop = Workshop(Path(folder), args.voices)
        for part in args.parts or ("clean", "numbers", "damage"):
            print(f"\n{part}", flush=True)
            if part == "clean":
                measure_clean(shop, args.utterances, args.seed)
            elif part == "numbers":
                measure_numbers(shop, args.utterances, args.seed)
            else:
                measure_damage(shop, kinds, args.tracks, args.seed)
        if shop.track_s:
            print(
                f"\nprocessor time: {shop.checked_s / shop.track_s:.3f} of the tracks' length, "
                f"{shop.checked_s / shop.speech_s:.3f} of the speech in them"
            )


if __name__ == "__main__":
    main()
