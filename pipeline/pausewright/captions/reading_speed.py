"""Captions that go faster than their readers: said plainly, with what would help.

Words are never dropped from a caption. What helps is slower speech or a pause after it, and both
are for the author, since they change the test.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.captions.cues import Cue, too_fast

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from pausewright.captions.caption_profiles import CaptionProfile
    from pausewright.plan.timeline import Questions
    from pausewright.problems import Place

MOST_NOTES = 5
"""Places that are named one by one; more are counted."""


def reading_notes(cues: Sequence[Cue], profile: CaptionProfile) -> tuple[str, ...]:
    """Return a sentence for each place of the script whose captions go too fast, worst first."""
    worst: dict[tuple[Place | None, Questions | None], tuple[Fraction, Cue]] = {}
    for cue in cues:
        share = too_fast(cue, profile)
        where = (cue.place, cue.question)
        if share is not None and (where not in worst or share < worst[where][0]):
            worst[where] = (share, cue)
    ordered = sorted(worst.values(), key=lambda pair: (pair[0], pair[1].start_ms))
    notes = [_note(share, cue, profile) for share, cue in ordered[:MOST_NOTES]]
    if len(ordered) > MOST_NOTES:
        notes.append(
            f"captions of {len(ordered) - MOST_NOTES} further places are too fast to read for the "
            f"profile ‘{profile.name}’, less than these"
        )
    return tuple(notes)


def _note(share: Fraction, cue: Cue, profile: CaptionProfile) -> str:
    there_s = (cue.end_ms - cue.start_ms) / 1000
    rate_wpm = 60 * cue.n_words / there_s
    line = "" if cue.place is None else f"line {cue.place.line}: "
    what = f"question {cue.question}" if cue.question else "an instruction"
    missing_s = there_s / float(share) - there_s
    return (
        f"{line}a caption of {what} is too fast to read ({rate_wpm:.0f} words a minute, limit "
        f"{profile.most_wpm} of the profile ‘{profile.name}’): slow the speech to "
        f"{int(100 * share)} %, or pause {missing_s:.1f} s after it"
    )
