"""Lines of proof of what concerns a whole track: pace, level, format, words, what may be read."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.result.proofs import FieldProof, seconds_text

if TYPE_CHECKING:
    from collections.abc import Collection

    from pausewright.arrange.arrangement import FieldName
    from pausewright.checker.match.match import Matching
    from pausewright.checker.promises.found import Found
    from pausewright.checker.promises.promise import Promise
    from pausewright.checker.promises.shown_as_promised import ShownCount
    from pausewright.checker.result.findings import EarSummary
    from pausewright.checker.result.proofs import Comparison

ONLY_BY_EAR: Final = "not proven without the ear"


def counted(n: int, what: str) -> str:
    """Return a number of things in words."""
    return f"{n} {what}" if n == 1 else f"{n} {what}s"


def of_pace(promise: Promise, comparison: Comparison | None, *, is_wrong: bool) -> FieldProof:
    """Return the proof of the pace; nothing but the standard track beside this one can give it."""
    sentence = f"{float(100 * promise.arrangement.arranged_pace):g} % asked; "
    is_kept: bool | None = not is_wrong
    if comparison is not None and comparison.pace_over_all is not None:
        sentence += f"{float(100 * comparison.pace_over_all):.2f} % measured over all"
    else:
        is_kept = False if is_wrong else None
        sentence += "not measured: only beside the standard track can it be"
    n = len(promise.said())
    return FieldProof("pace", n, n if is_kept else 0, sentence, is_kept)


def of_loudness(promise: Promise, measured: float | None, *, is_wrong: bool) -> FieldProof:
    """Return the proof of the loudness, in LUFS."""
    there = "nothing" if measured is None else f"{measured:.1f} LUFS"
    sentence = f"{float(promise.loudness_lufs):g} LUFS asked, {there} measured"
    return FieldProof("loudness", 1, int(not is_wrong), sentence, not is_wrong)


def of_format(promise: Promise, container: str, *, is_wrong: bool) -> FieldProof:
    """Return the proof of the format of this file."""
    sentence = f"{', '.join(promise.arrangement.formats)} asked; this file is {container}"
    return FieldProof("format", 1, int(not is_wrong), sentence, not is_wrong)


def of_transcript(promise: Promise, n_files: int, *, is_wrong: bool) -> FieldProof:
    """Return the proof of the transcript; open where none lies beside the track."""
    sentence = f"{promise.arrangement.transcript} asked; "
    is_kept: bool | None = not is_wrong
    if is_wrong:
        sentence += "words are in it that may not be read"
    elif n_files:
        sentence += "no word in it that may not be read"
    else:
        is_kept = None
        sentence += "no transcript lies beside this track: not looked at"
    return FieldProof("transcript", 1, int(bool(is_kept)), sentence, is_kept)


def of_the_rest(name: FieldName, promise: Promise, *, is_wrong: bool) -> FieldProof:
    """Return the proof of a field about which one sentence says all."""
    arrangement = promise.arrangement
    sentence = {
        "voice": f"‘{arrangement.voice}’ asked; whose voice is heard is {ONLY_BY_EAR}",
        "background": "no construct puts a sound under speech: nothing to leave out",
        "split": "at stops; the pieces are judged as one track beside this one",
        "test-time": f"{seconds_text(arrangement.test_time_s or Fraction(0))} s, for sums",
    }.get(name, "")
    # a background is nowhere to be left out, which is an error of its own
    is_kept: bool | None = not is_wrong and name != "background"
    if name == "voice" and is_kept:
        is_kept = None
    return FieldProof(name, 1, int(bool(is_kept)), sentence, is_kept)


def of_captions(promise: Promise, shown: ShownCount, codes: Collection[str]) -> FieldProof | None:
    """Return the proof of the captions; None where none lie there and none are declared."""
    declared = promise.arrangement.captions
    if not shown.n_files:
        sentence = f"{declared}; no captions lie beside this track: not looked at"
        return FieldProof("captions", 0, 0, sentence, None) if declared is not None else None
    is_kept = not {"promise-captions", "promise-transcript", "withheld-shown"} & set(codes)
    sentence = (
        f"{declared or promise.script.settings.captions}; {counted(shown.n_files, 'file')} beside "
        f"it with {counted(shown.n_cues, 'caption')} in all; {shown.n_captioned} of "
        f"{counted(shown.n_owed, 'place')} where one must stand have it"
    )
    return FieldProof("captions", shown.n_owed, shown.n_captioned, sentence, is_kept)


def of_words(found: Found, matching: Matching, ear: EarSummary | None) -> FieldProof:
    """Return the proof that words are heard, and with the ear that they are those of the script."""
    sounds = [i for one in found.words.values() for i in one.sounds]
    heard = [i for i in sounds if matching.heard[i] is not None]
    is_kept = len(heard) == len(sounds)
    sentence = f"{len(heard)} of {len(sounds)} sounds are heard where the script has them; "
    if ear is None:
        sentence += f"that they say its words is {ONLY_BY_EAR}"
    else:
        is_kept = is_kept and not ear.n_other
        sentence += (
            f"the machine's ear heard {ear.n_heard}: {ear.n_same} word for word, "
            f"{ear.n_doubtful} to listen to, {ear.n_other} with other words"
        )
    return FieldProof("words", len(sounds), len(heard), sentence, is_kept)
