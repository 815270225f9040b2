"""Findings by what they follow from: one cause is told once, with what it brought about.

A cause is a head, which is a finding, and the findings that would not be there without it. What
explains what is decided by codes, places and differences alone, never by words:

- A file that is damaged, plays at another speed or belongs to another script explains what is heard.
- Faults of one place, or of two readings of one question, are one fault told in several ways.
- What changes the time of a track (a question that is missing, a silence that is too long) moves all
  that lies behind it: markers and captions that are off by that much follow from it.
- Markers and captions that no sound explains are one fault where they are off alike.

A finding that nothing explains is a head of its own: in doubt there is one head too many. Captions
that show what may not be shown follow from a shift only if their words are heard as much elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations
from statistics import median
from typing import TYPE_CHECKING, Final

from pausewright.checker.result.codes import audience_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.result.findings import Finding
    from pausewright.problems import Severity

_FILE: Final = ("no-sound", "decode-stopped", "file-damaged", "length-claim", "decoders-differ")
_ORDER: Final = (
    "track-ends-early",
    "question-missing",
    "reading-repeated",
    "reading-missing",
    "announcement-missing",
    "sound-missing",
    "sound-extra",
)
_SILENCES: Final = ("silence-missing", "silence-short", "silence-long", "sound-in-silence")
_SPEECH: Final = (
    "tone-differs",
    "speech-cut",
    "dropout",
    "length-impossible",
    "readings-differ",
    "length-unlikely",
    "silence-in-speech",
    "pace-differs",
    "click",
)
_LEVELS: Final = (
    "channels-out-of-phase",
    "channels-unequal",
    "clipping",
    "true-peak",
    "loudness",
    "level-uneven",
    "noise-in-gap",
    "hum",
    "dc-offset",
    "bandwidth",
    "hard-edges",
)
_WHOLE: Final = ("other-words", "wrong-speed", "channel-dead", "arrangement-differs")
_SOUND: Final = (*_FILE, *_WHOLE, *_ORDER, *_SILENCES, "end-cut", *_SPEECH, *_LEVELS)
_RANKS: Final = {code: rank for rank, code in enumerate(_SOUND)}
"""What explains more comes first."""
_ALL_OF: Final = {
    "other-words": frozenset((*_ORDER, *_SILENCES, *_SPEECH, "end-cut", "arrangement-differs")),
    "wrong-speed": frozenset((*_SILENCES, *_SPEECH, "end-cut", "arrangement-differs", "bandwidth")),
    "channel-dead": frozenset(("channels-unequal", "channels-out-of-phase", *_SPEECH, *_LEVELS)),
    "channels-out-of-phase": frozenset(("loudness", "channels-unequal")),
    "clipping": frozenset(("true-peak", "loudness", "level-uneven", "dc-offset", "click")),
    "true-peak": frozenset(("loudness", "level-uneven")),
    "loudness": frozenset(("level-uneven",)),
    "noise-in-gap": frozenset(("hum", "sound-in-silence")),
}
"""What a fault of the whole track brings about, wherever it lies."""
_KNOWN: Final = frozenset(("silence-missing", "silence-short", "silence-long", "tone-differs"))
"""What moves all after it by its own difference."""
_MOVES: Final = frozenset((*_KNOWN, *_ORDER, "length-impossible", "length-unlikely"))
"""What moves all after it; and readings that differ in length."""
_MOVED: Final = frozenset(
    (
        "chapter-off",
        "chapter-outside",
        "caption-early",
        "caption-late",
        "caption-hangs",
        "caption-words",
        "caption-withheld",
        "caption-missing",
        "caption-repeated",
        "caption-fast",
        "countdown-wrong",
        "countdown-outside",
        "countdown-missing",
        "transcript-time",
    )
)
"""What a change of time puts off its place: markers, captions and times on paper."""
_OWN_WORDS: Final = frozenset(("caption-words", "caption-withheld"))
"""Follow from a change of time only if the words are heard elsewhere."""
NEAR_S: Final = Fraction(12)
"""Within one question, how far from a fault its other signs may lie: a long sentence."""
AT_ONCE_S: Final = Fraction(1)
"""How far apart two signs of one fault may lie where they belong to no one question."""
ALIKE_S: Final = Fraction(12, 100)
"""By how much differences of one shift may differ: two edges of sounds, 60 ms each."""
EQUAL_S: Final = Fraction(4, 100)
"""By how much equal differences of two silences may differ: 20 ms each."""


@dataclass(frozen=True, slots=True)
class Cause:
    """A finding and what follows from it."""

    head: Finding
    follows: tuple[Finding, ...] = ()
    shift_s: Fraction | None = None
    """How much later markers and captions stand than what they mark; None if they do not agree."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The head and what follows from it."""
        return (self.head, *self.follows)

    @property
    def severity(self) -> Severity:
        """The gravest of all: a warning may bring errors about."""
        return "error" if any(f.severity == "error" for f in self.findings) else "warning"


@dataclass(slots=True)
class _Group:
    head: Finding
    follows: list[Finding] = field(default_factory=list)

    def __iter__(self) -> Iterator[Finding]:
        yield self.head
        yield from self.follows


def causes(findings: Sequence[Finding]) -> list[Cause]:
    """Return the causes of findings: errors first, then in the order of the track.

    Every finding is in exactly one of them, as its head or among what follows from it.
    """
    groups: list[_Group] = []
    beside: list[Finding] = []
    for finding in sorted(findings, key=_rank):
        if audience_of(finding.code) != "heard" or finding.code.startswith("piece-"):
            beside.append(finding)
            continue
        able = [group for group in groups if _explains(group, finding)]
        if able:
            min(able, key=lambda group: _apart_s(group.head, finding)).follows.append(finding)
        else:
            groups.append(_Group(finding))
    left = [finding for finding in beside if not _is_moved(finding, groups)]
    groups += _alike(left)
    found = [Cause(g.head, tuple(g.follows), _shift_s(g.follows)) for g in groups]
    return sorted(found, key=lambda one: (one.severity != "error", one.head.at_s or Fraction(0)))


def _rank(finding: Finding) -> tuple[int, Fraction]:
    return _RANKS.get(finding.code, len(_RANKS)), finding.at_s or Fraction(0)


def _apart_s(one: Finding, other: Finding) -> Fraction:
    return abs((one.at_s or Fraction(0)) - (other.at_s or Fraction(0)))


# ---- what is heard ---------------------------------------------------------------------------


def _explains(group: _Group, finding: Finding) -> bool:
    """Return whether a finding about the sound would not be there without those of a group."""
    head = group.head
    if head.code in _FILE:
        return head.at_s is None or finding.at_s is None or finding.at_s >= head.at_s - NEAR_S
    if finding.code in _ALL_OF.get(head.code, ()):
        return True
    if head.code == "arrangement-differs" and finding.code in {"silence-long", "silence-short"}:
        return _has_factor(head, finding)
    if head.code == "track-ends-early" and head.at_s is not None:
        is_after = finding.at_s is None or finding.at_s >= head.at_s - NEAR_S
        return is_after and finding.code not in _LEVELS
    if _is_again(head, finding):
        return True
    if finding.code in _LEVELS:
        return False
    return any(_is_of_one_place(one, finding) for one in group)


def _has_factor(head: Finding, silence: Finding) -> bool:
    """Return whether a silence is off by the factor that its kind is off by."""
    pairs = [(one.measured, one.expected) for one in (head, silence)]
    first, second = (float(m or 0) / float(e or 1) for m, e in pairs)
    return abs(first - second) <= 0.03 * first


def _is_again(head: Finding, other: Finding) -> bool:
    """Return whether a fault is the same as another, at a further place.

    Silences declared alike that are all off by as much; time that was taken from one silence and
    given to another; a reading that is missing all through; a level that is off from a place on.
    """
    silences = {"silence-short", "silence-long"}
    if {head.code, other.code} <= silences and head.difference and other.difference:
        one_s, other_s = Fraction(head.difference), Fraction(other.difference)
        if head.code == other.code:
            return head.expected == other.expected and abs(one_s - other_s) <= EQUAL_S
        return abs(one_s + other_s) <= EQUAL_S
    again = {"reading-missing", "level-uneven", "noise-in-gap", "statement-untrue", "pace-differs"}
    if head.code == other.code and head.code.startswith(("heard-", "standard-")):
        return False
    if {head.code, other.code} <= {"length-unlikely", "length-impossible"}:
        # of two questions in each other's place one is too long for its words and one too short
        is_other_way = float(head.difference or 0) * float(other.difference or 0) < 0
        return is_other_way and head.question != other.question
    return head.code == other.code and head.code in again


def _is_of_one_place(one: Finding, other: Finding) -> bool:
    """Return whether two findings are signs of one fault."""
    if one.at_s is None or other.at_s is None:
        return False
    if one.question is not None and one.question == other.question:
        # readings are compared with the first one, so that the fault may lie in either of them
        if "readings-differ" in {one.code, other.code}:
            return True
        return abs(one.at_s - other.at_s) <= NEAR_S
    return abs(one.at_s - other.at_s) <= AT_ONCE_S


# ---- what stands beside the sound ------------------------------------------------------------


def _is_moved(finding: Finding, groups: Sequence[_Group]) -> bool:
    """Put a marker or caption to what moved it, if anything did; return whether."""
    if finding.code not in _MOVED:
        return False
    if finding.code in _OWN_WORDS and finding.difference is None:
        return _is_of_lost(finding, groups)
    changes = [
        (one, group) for group in groups for one in group if _moves(one) and _lies_before(one, finding)
    ]
    if changes and _is_off_by(finding, [one for one, _ in changes]):
        max(changes, key=lambda pair: pair[0].at_s or Fraction(0))[1].follows.append(finding)
        return True
    for group in groups:
        if group.head.code in {*_FILE, "other-words", "wrong-speed"}:
            group.follows.append(finding)
            return True
    return False


def _is_of_lost(finding: Finding, groups: Sequence[_Group]) -> bool:
    """Put a caption that shows words of a missing sound to what is missing; return whether."""
    if finding.code != "caption-words" or finding.place is None:
        return False
    lost = {
        *_ORDER, "silence-missing", "other-words", *_FILE, "length-impossible", "length-unlikely"
    }
    for group in groups:
        for one in group:
            is_it = one.place == finding.place or one.code not in _ORDER
            is_it = is_it or (one.question is not None and one.question == finding.question)
            if one.code in lost and (is_it or one.code == "track-ends-early"):
                group.follows.append(finding)
                return True
    return False


def _moves(finding: Finding) -> bool:
    is_other_length = finding.code == "readings-differ" and finding.difference is not None
    return finding.code in _MOVES or is_other_length


def _lies_before(change: Finding, finding: Finding) -> bool:
    """Return whether something stands after a change of time; nearly where its place is rough."""
    if finding.at_s is None or change.at_s is None:
        return True
    is_rough = change.code not in _KNOWN or finding.code == "caption-missing"
    return change.at_s <= finding.at_s + (NEAR_S if is_rough else AT_ONCE_S)


def _is_off_by(finding: Finding, changes: Sequence[Finding]) -> bool:
    """Return whether something is off by what the changes before it come to, if that is known."""
    is_known = all(one.code in _KNOWN and one.difference is not None for one in changes)
    if finding.difference is None or finding.code == "caption-hangs" or not is_known:
        return True
    moved_s = -sum((Fraction(one.difference or 0) for one in changes), Fraction(0))
    return abs(Fraction(finding.difference) - moved_s) <= ALIKE_S


def _alike(findings: Sequence[Finding]) -> list[_Group]:
    """Return what no sound explains, in groups of what is wrong alike; the first is the head."""
    groups: list[list[Finding]] = [[one] for one in findings]
    for one, other in combinations(findings, 2):
        if not _is_alike(one, other):
            continue
        own, others = (next(g for g in groups if any(x is f for x in g)) for f in (one, other))
        if own is not others:
            own += others
            groups = [group for group in groups if group is not others]
    return [_Group(*_headed(group)) for group in groups]


def _headed(group: Sequence[Finding]) -> tuple[Finding, list[Finding]]:
    """Return the finding that says most, and the others: an error, no sequel, the first."""
    sequels = {"captions-differ", "caption-missing", "chapter-missing", "piece-count"}
    head = min(group, key=lambda f: (f.severity != "error", f.code in sequels))
    return head, [one for one in group if one is not head]


def _is_alike(one: Finding, other: Finding) -> bool:
    """Return whether two findings about markers, captions or files are one fault."""
    first, second = (f.code.partition("-")[0].removesuffix("s") for f in (one, other))
    codes = {one.code, other.code}
    if first != second or first not in {"caption", "chapter", "countdown", "piece", "transcript"}:
        return False
    if first == "piece" or "captions-differ" in codes:
        return True
    if one.at_s is not None and one.at_s == other.at_s:
        return True
    if one.difference is not None and other.difference is not None:
        alike_s = abs(Fraction(one.difference) - Fraction(other.difference))
        return alike_s <= ALIKE_S or codes == {"caption-hangs"}
    if first == "chapter":
        return codes != {"chapter-words"} or one.code == other.code
    if "caption-missing" in codes:
        return one.code != other.code and _apart_s(one, other) <= NEAR_S
    return one.code == other.code and first in {"countdown", "transcript"}


def _shift_s(follows: Sequence[Finding]) -> Fraction | None:
    """Return by how much markers and captions that follow are off, if most agree."""
    codes = {"chapter-off", "caption-early", "caption-late", *_OWN_WORDS}
    offs_s = [Fraction(f.difference) for f in follows if f.code in codes and f.difference]
    if not offs_s:
        return None
    middle_s = median(offs_s)
    n_near = sum(abs(off_s - middle_s) <= ALIKE_S for off_s in offs_s)
    return middle_s if 4 * n_near >= 3 * len(offs_s) else None
