"""Findings by what they follow from: one cause is told once, with what it brought about.

A cause is a head, which is a finding, and the findings that would not be there without it. What
explains what is decided by codes, places and differences alone, never by words:

- A file that is damaged, runs at another speed or is of another script explains what is heard.
- Faults of one place, or of two readings of one question, are one fault told in several ways.
- What changes the time of a track (a question that is missing, a silence that is too long) moves
  all that lies behind it: markers and captions that are off by that much follow from it.
- Markers and captions that no sound explains are one fault where they are off alike.
- Of folders whoever compared them knows what explains what, and marks it (`Finding.one_cause`).

A finding that nothing explains is a head of its own: in doubt there is one head too many. Captions
that show what may not be shown follow from a shift only if their words are heard as much elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations
from statistics import median
from typing import TYPE_CHECKING

from pausewright.checker.limits.together import (
    ALIKE_S,
    AT_ONCE_S,
    EDGE_S,
    EQUAL_S,
    FEWEST_ALIKE,
    NEAR_S,
)
from pausewright.checker.result import cause_codes as codes
from pausewright.checker.result.codes import audience_of
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.result.findings import Finding
    from pausewright.problems import Severity


@frozen
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
    known = _known(findings)
    for finding in sorted((one for one in findings if not one.one_cause), key=_rank):
        if audience_of(finding.code) != "heard" and finding.code not in codes.PIECES:
            beside.append(finding)
            continue
        able = [group for group in groups if _explains(group, finding)]
        if able:
            min(able, key=lambda group: _apart_s(group.head, finding)).follows.append(finding)
        else:
            groups.append(_Group(finding))
    groups = _merged(groups)
    moving = [(one, group) for group in groups for one in group if _moves(one)]
    beside.sort(key=lambda f: (f.code in codes.PROMISED_CAPTIONS, f.code == "caption-missing"))
    left = [finding for finding in beside if not _is_moved(finding, groups, moving)]
    groups += [*known, *_alike(left)]
    found = [_cause(group) for group in groups]
    return sorted(found, key=lambda one: (one.severity != "error", one.head.at_s or Fraction(0)))


def _known(findings: Sequence[Finding]) -> list[_Group]:
    """Return the groups that who found them has made: the first of a mark, and all others of it."""
    found: dict[str, _Group] = {}
    for finding in findings:
        if finding.one_cause in found:
            found[finding.one_cause].follows.append(finding)
        elif finding.one_cause:
            found[finding.one_cause] = _Group(finding)
    return list(found.values())


def _rank(finding: Finding) -> tuple[int, Fraction]:
    """Sort key: what explains more comes first."""
    return codes.RANKS.get(finding.code, len(codes.RANKS)), finding.at_s or Fraction(0)


def _cause(group: _Group) -> Cause:
    """Return a group as a cause; where a word was cut out, that is told and not the click there."""
    head, follows = group.head, tuple(group.follows)
    lengths = [one for one in follows if _is_other_length(one)]
    if head.code == "click" and lengths and not any(f.code in codes.OFF_LENGTH for f in follows):
        follows = (head, *(one for one in follows if one is not lengths[0]))
        head = lengths[0]
    return Cause(head, follows, _shift_s(follows))


def _apart_s(one: Finding, other: Finding) -> Fraction:
    return abs((one.at_s or Fraction(0)) - (other.at_s or Fraction(0)))


# ---- what is heard ---------------------------------------------------------------------------


def _explains(group: _Group, finding: Finding) -> bool:
    """Return whether a finding about the sound would not be there without those of a group."""
    head = group.head
    if head.code in codes.FILE:
        if head.code == "no-sound" and finding.code in codes.WITHOUT_SPEECH:
            return False
        return head.at_s is None or finding.at_s is None or finding.at_s >= head.at_s - NEAR_S
    if head.code in codes.PIECES and finding.code in codes.PIECES:
        return True
    if any(one.code in codes.OTHER_PIECE for one in group):
        return True
    if finding.code in codes.ALL_OF.get(head.code, ()):
        return True
    if head.code in codes.EDGES and _is_slight(finding):
        return _lies_after(head, finding)
    if head.code == "arrangement-differs" and finding.code in codes.OFF_LENGTH:
        return _has_factor(head, finding)
    if head.code == "track-ends-early" and head.at_s is not None:
        is_after = finding.at_s is None or finding.at_s >= head.at_s - NEAR_S
        return is_after and finding.code not in codes.LEVELS
    if _is_again(head, finding):
        return True
    if finding.code in codes.PROMISES:
        return any(_is_promised(one, finding) for one in group)
    if finding.code in codes.LEVELS:
        return False
    return any(_is_of_one_place(one, finding) for one in group)


def _is_promised(one: Finding, promise: Finding) -> bool:
    """Return whether a promise that is not kept restates a fault, by question, line or place."""
    if one.code == "loudness" or promise.code == "promise-loudness":
        return one.code == "loudness" and promise.code == "promise-loudness"
    if one.code in codes.LEVELS or one.code in codes.PROMISES:
        return False
    if one.question is not None and one.question == promise.question:
        return True
    if one.place is not None and one.place == promise.place:
        return True
    if one.at_s is None or promise.at_s is None:
        return False
    return abs(one.at_s - promise.at_s) <= NEAR_S


def _is_slight(finding: Finding) -> bool:
    """Return whether a length is off by no more than edges of sounds that are hidden or bared."""
    if finding.code == "arrangement-differs":
        return abs(float(finding.measured or 0) / float(finding.expected or 1) - 1) <= float(EDGE_S)
    is_length = finding.code in codes.OFF_LENGTH | {"tone-differs", "end-cut"}
    return is_length and abs(Fraction(finding.difference or 0)) <= EDGE_S


def _lies_after(head: Finding, finding: Finding) -> bool:
    """Return whether a finding lies where the level is another: all over, or from a place on."""
    if head.at_s is None or finding.at_s is None or head.code != "level-uneven":
        return True
    return finding.at_s >= head.at_s - NEAR_S


def _has_factor(head: Finding, silence: Finding) -> bool:
    """Return whether a silence is off by the factor that its kind is off by."""
    pairs = [(one.measured, one.expected) for one in (head, silence)]
    first, second = (float(m or 0) / float(e or 1) for m, e in pairs)
    return abs(first - second) <= 0.03 * first


def _is_again(head: Finding, other: Finding) -> bool:
    """Return whether a fault is the same as another, at a further place.

    Silences declared alike that are all off by as much; time that was taken from one silence and
    given to another; readings of one take; a level that is off from a place on.
    """
    if {head.code, other.code} <= codes.OFF_LENGTH and head.difference and other.difference:
        one_s, other_s = Fraction(head.difference), Fraction(other.difference)
        if head.code == other.code:
            return head.expected == other.expected and abs(one_s - other_s) <= EQUAL_S
        return abs(one_s + other_s) <= EQUAL_S
    if {head.code, other.code} <= set(codes.WORDS):
        # of two questions in each other's place one is too long for its words and one too short
        is_other_way = float(head.difference or 0) * float(other.difference or 0) < 0
        return is_other_way == (head.question != other.question)
    return head.code == other.code and head.code in codes.AGAIN


def _is_of_one_place(one: Finding, other: Finding) -> bool:
    """Return whether two findings are signs of one fault."""
    if one.at_s is None or other.at_s is None:
        return False
    if one.question is not None and one.question == other.question:
        # readings are compared with the first one, so that the fault may lie in either of them
        if "readings-differ" in {one.code, other.code}:
            return True
        if {one.code, other.code} & {*codes.ORDER, "silence-missing"}:
            return abs(one.at_s - other.at_s) <= NEAR_S
    (start_s, end_s), (other_start_s, other_end_s) = _extent_s(one), _extent_s(other)
    return start_s - AT_ONCE_S <= other_end_s and other_start_s - AT_ONCE_S <= end_s


def _extent_s(finding: Finding) -> tuple[Fraction, Fraction]:
    """Return where on the track the sound or silence of a finding begins and ends."""
    start_s = finding.at_s or Fraction(0)
    is_length = finding.unit == "s" and finding.code in codes.LENGTHS
    return start_s, start_s + (Fraction(finding.measured or 0) if is_length else 0)


def _merged(groups: Sequence[_Group]) -> list[_Group]:
    """Return groups without those that follow from one that explains less at other places.

    Where the level changes, silences read a little longer or shorter; where speech is cut, what is
    left of it is softer.
    """
    found = list(groups)
    readings = [g for g in found if g.head.code in codes.READINGS]
    asked = {f.question for group in readings for f in group if f.code in codes.READINGS}
    if len(asked) >= FEWEST_ALIKE and len(readings) > 1:
        readings[0].follows += [finding for group in readings[1:] for finding in group]
        found = [group for group in found if group not in readings[1:]]
    noise = next((g for g in found if g.head.code in codes.NOISES), None)
    unlike = [g for g in found if g.head.code == "readings-differ" and g.head.difference is None]
    if noise is not None and len(unlike) >= FEWEST_ALIKE:
        noise.follows += [finding for group in unlike for finding in group]
        found = [group for group in found if group not in unlike]
    for group in tuple(found):
        into = next((one for one in found if one is not group and _takes(one, group)), None)
        if into is not None:
            into.follows += group
            found.remove(group)
    return found


def _takes(into: _Group, group: _Group) -> bool:
    head, other = into.head, group.head
    if head.code in codes.EDGES and all(_is_slight(f) and _lies_after(head, f) for f in group):
        return True
    if other.code == "level-uneven" and head.code in {
        *codes.MOMENTS,
        *codes.SPEECH,
        *codes.SILENCES,
    }:
        return any(_is_of_one_place(one, other) for one in into)
    return False


# ---- what stands beside the sound ------------------------------------------------------------


def _is_moved(
    finding: Finding, groups: Sequence[_Group], moving: Sequence[tuple[Finding, _Group]]
) -> bool:
    """Put a marker or caption to what moved it, if anything did; return whether."""
    if finding.code in codes.PROMISED_CAPTIONS:
        return _is_restated(finding, groups)
    if finding.code not in codes.MOVED:
        return False
    if finding.code in codes.OWN_WORDS and finding.difference is None:
        return _is_of_lost(finding, groups)
    changes = [(one, group) for one, group in moving if _lies_before(one, finding)]
    if finding.code == "caption-missing" and not any(_has_moved(group) for _, group in changes):
        return False
    if changes and _is_off_by(finding, [one for one, _ in changes]):
        max(changes, key=lambda pair: pair[0].at_s or Fraction(0))[1].follows.append(finding)
        return True
    for group in groups:
        if group.head.code in {*codes.FILE, *codes.OTHER_PIECE, "other-words", "wrong-speed"}:
            group.follows.append(finding)
            return True
    return False


def _is_restated(finding: Finding, groups: Sequence[_Group]) -> bool:
    """Put a promise about captions to what moved the captions that it is about; return whether.

    One that shows what may not be shown follows only where a caption at its very time was moved.
    """
    for group in groups:
        moved = [one for one in group.follows if one.code.startswith("caption-")]
        if finding.at_s is not None:
            moved = [one for one in moved if one.at_s == finding.at_s]
        if moved:
            group.follows.append(finding)
            return True
    return False


def _has_moved(group: _Group) -> bool:
    """Return whether any caption was put off its place: a caption that is missing may follow."""
    return any(one.code.startswith("caption-") for one in group)


def _is_of_lost(finding: Finding, groups: Sequence[_Group]) -> bool:
    """Put a caption that shows words of a missing sound to what is missing; return whether."""
    if finding.code != "caption-words" or finding.place is None:
        return False
    whole = {*codes.FILE, "other-words", "track-ends-early"}
    for group in groups:
        for one in group:
            is_it = one.place == finding.place
            is_it = is_it or (one.question is not None and one.question == finding.question)
            if one.code in whole or (is_it and one.code in codes.MOVES):
                group.follows.append(finding)
                return True
    return False


def _moves(finding: Finding) -> bool:
    return finding.code in codes.MOVES or finding.code == "end-cut" or _is_other_length(finding)


def _is_other_length(finding: Finding) -> bool:
    """Return whether a reading is not as long as the first."""
    return finding.code == "readings-differ" and finding.difference is not None


def _lies_before(change: Finding, finding: Finding) -> bool:
    """Return whether something stands after a change of time; nearly where its place is rough."""
    if change.code == "end-cut":
        return finding.code == "chapter-outside"  # its end lies behind that of the track
    if finding.at_s is None or change.at_s is None:
        return True
    is_rough = change.code not in codes.KNOWN or finding.code == "caption-missing"
    return change.at_s <= finding.at_s + (NEAR_S if is_rough else AT_ONCE_S)


def _is_off_by(finding: Finding, changes: Sequence[Finding]) -> bool:
    """Return whether something is off by what the changes before it come to, if that is known."""
    is_known = all(one.code in codes.KNOWN and one.difference is not None for one in changes)
    if finding.difference is None or not is_known:
        return True
    # a caption may stand into the pause after its words, and its words may be heard twice
    if finding.code == "caption-hangs" or finding.code in codes.OWN_WORDS:
        return True
    moved_s = -sum((Fraction(one.difference or 0) for one in changes), Fraction(0))
    return abs(Fraction(finding.difference) - moved_s) <= ALIKE_S


def _alike(findings: Sequence[Finding]) -> list[_Group]:
    """Return what no sound explains, in groups of what is wrong alike; the first is the head."""
    group_of = list(range(len(findings)))
    for (n, one), (m, other) in combinations(enumerate(findings), 2):
        if group_of[n] != group_of[m] and _is_alike(one, other):
            kept, gone = group_of[n], group_of[m]
            group_of = [kept if group == gone else group for group in group_of]
    groups: dict[int, list[Finding]] = {}
    for group, finding in zip(group_of, findings, strict=True):
        groups.setdefault(group, []).append(finding)
    return [_Group(*_headed(group)) for group in groups.values()]


def _headed(group: Sequence[Finding]) -> tuple[Finding, list[Finding]]:
    """Return the finding that says most, and the others: an error, no sequel, the first."""
    last = "captions-differ"
    head = min(
        group, key=lambda f: (f.code == last, f.severity != "error", f.code in codes.SEQUELS)
    )
    return head, [one for one in group if one is not head]


def _is_alike(one: Finding, other: Finding) -> bool:
    """Return whether two findings about markers, captions or files are one fault."""
    first, second = (_family(f.code) for f in (one, other))
    both = {one.code, other.code}
    if first != second or not first:
        return False
    if "captions-differ" in both or (one.code == other.code and one.code in codes.OWN_WORDS):
        return True
    if one.at_s is not None and one.at_s == other.at_s:
        return True
    if both <= {*codes.PROMISED_CAPTIONS, "caption-rate"} and len(both) == 1:
        return one.at_s is None and other.at_s is None
    if one.difference is not None and other.difference is not None:
        apart_s = abs(Fraction(one.difference) - Fraction(other.difference))
        return apart_s <= ALIKE_S or both == {"caption-hangs"}
    if "caption-missing" in both:
        return one.code == other.code or _apart_s(one, other) <= NEAR_S
    is_of_count = one.code.startswith("countdown-") and other.code.startswith("countdown-")
    return first == "chapter" or is_of_count or (one.code == other.code and first == "transcript")


def _family(code: str) -> str:
    """Return what a code is about: captions with their countdown, markers or papers; else ""."""
    families = {
        "caption": "caption",
        "captions": "caption",
        "countdown": "caption",
        "chapter": "chapter",
        "chapters": "chapter",
        "transcript": "transcript",
    }
    return families.get(code.removeprefix("promise-").partition("-")[0], "")


def _shift_s(follows: Sequence[Finding]) -> Fraction | None:
    """Return by how much markers and captions that follow are off, if most agree."""
    offs_s = [Fraction(f.difference) for f in follows if f.code in codes.SHIFTED and f.difference]
    if not offs_s:
        return None
    middle_s = median(offs_s)
    n_near = sum(abs(off_s - middle_s) <= ALIKE_S for off_s in offs_s)
    return middle_s if 4 * n_near >= 3 * len(offs_s) else None
