"""What differs, as text for the screen and as data."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver.differs.changes import ASPECTS
from pausewright.deliver.differs.consequences import GROUP_NAMES
from pausewright.plan.clock import counter

if TYPE_CHECKING:
    from pausewright.deliver.differs.changes import Change
    from pausewright.deliver.differs.difference import Difference
    from pausewright.deliver.differs.proof import Proof
    from pausewright.deliver.differs.shape import Shape

_VERDICTS: Final = {
    "build": "to be built",
    "reprint": "to be built and printed",
    "stays": "stays: it shows or says the same",
    "withdraw": "to be taken back: the version is gone",
}


def difference_text(found: Difference) -> str:
    """Return what differs for the screen. Confidential: it names arrangements and questions."""
    rows = [
        f"old: {found.old.path.name}, edition {found.old.edition}",
        f"new: {found.new.path.name}, edition {found.new.edition}",
        "",
    ]
    if found.is_same:
        rows.append("nothing differs")
    else:
        rows += ["changed"] if any(one.compared.changes for one in found.versions) else []
        rows += [f"  {sentence(change)}{whose}" for change, whose in _by_change(found)]
    for labels, what in ((found.only_new, "new"), (found.only_old, "no longer declared")):
        rows += [f"  version {label}: {what}" for label in labels]
    for one in found.versions:
        n_units = len(one.compared.pairs)
        rows += ["", f"version {one.label}: {one.name}"]
        rows.append(f"  {one.compared.n_same} of {n_units} things in both are as they were")
        if one.proof is None:
            rows.append("  nothing measured: not both tracks are at hand in this edition")
        else:
            rows += [f"  {row}" for row in proof_rows(one.proof)]
        if one.to_hear:
            rows.append("  to be heard again: " + ", ".join(change.name for change in one.to_hear))
    rows += ["", "outputs"]
    rows += [
        f"  version {one.version_label}: {GROUP_NAMES[one.group]}: {_VERDICTS[one.verdict]}"
        for one in found.outputs
    ]
    if found.old.edition != found.new.edition and any(o.verdict == "stays" for o in found.outputs):
        rows.append(
            f"  what stays carries the edition {found.old.edition}: whoever checks it is told"
        )
    for room in found.rooms:
        what = ", ".join(room.files) if room.files else "nothing"
        rows.append(f"  room {room.room}: to be replaced: {what}")
    return "\n".join(rows) + "\n"


def _by_change(found: Difference) -> list[tuple[Change, str]]:
    """Return each change once, with the versions that it is in, if that is not all of them."""
    whose: defaultdict[Change, list[str]] = defaultdict(list)
    for one in found.versions:
        for change in one.compared.changes:
            whose[change].append(one.label)
    n_all = len(found.versions)
    return [
        (change, "" if len(labels) == n_all else f" (version {', '.join(labels)})")
        for change, labels in whose.items()
    ]


def sentence(change: Change) -> str:
    """Return a change in words: "question 4 (line 31): in sound, in words"."""
    was = f", was {change.was}" if change.was else ""
    line = f" (line {change.line}{was})" if change.line else f" ({was[2:]})" if was else ""
    aspects = ", ".join(ASPECTS[one] for one in change.aspects)
    place = "in another place" if change.is_moved else ""
    what = {"added": "added", "removed": "removed", "renumbered": "another number only"}
    parts = [what.get(change.what, ""), aspects if change.what == "changed" else "", place]
    return f"{change.name}{line}: " + "; ".join(filter(None, parts))


def proof_rows(proof: Proof) -> list[str]:
    """Return what was measured on two tracks, in sentences."""
    if proof.why_not:
        return [f"nothing measured: {proof.why_not}"]
    how = "identical sample by sample" if proof.is_exact else "alike in level (coded tracks)"
    lasts = counter(Fraction(proof.n_samples, proof.rate_hz))
    other = counter(Fraction(proof.n_other_samples, proof.rate_hz))
    n_good = proof.n_units - len(proof.differing)
    rows = [
        (
            f"measured: {n_good} of {proof.n_units} sounds that did not change are {how} at their "
            f"new places, {lasts} of the track; {other} is new or other"
        )
    ]
    rows += [f"NOT THE SAME ON THE TRACKS: {name}" for name in proof.differing]
    if not proof.is_exact:
        rows.append("build both with --format wav to compare samples")
    return rows


def difference_data(found: Difference) -> dict[str, object]:
    """Return what differs as plain data."""
    return {
        "old": {"path": str(found.old.path), "edition": found.old.edition},
        "new": {"path": str(found.new.path), "edition": found.new.edition},
        "is_same": found.is_same,
        "holds": found.holds,
        "versions": [
            {
                "label": one.label,
                "arrangement": one.name,
                "changes": [_change_data(change) for change in one.compared.changes],
                "n_in_both": len(one.compared.pairs),
                "n_same": one.compared.n_same,
                "to_hear": [change.name for change in one.to_hear],
                "proof": None if one.proof is None else _proof_data(one.proof),
            }
            for one in found.versions
        ],
        "only_old": list(found.only_old),
        "only_new": list(found.only_new),
        "outputs": [
            {"version_label": one.version_label, "output": one.group, "verdict": one.verdict}
            for one in found.outputs
        ],
        "rooms": [
            {"room": one.room, "folder": one.folder, "to_replace": list(one.files)}
            for one in found.rooms
        ],
    }


def _change_data(change: Change) -> dict[str, object]:
    return {
        "what": change.what,
        "kind": change.kind,
        "name": change.name,
        "was": change.was,
        "line": change.line,
        "in": list(change.aspects),
        "is_moved": change.is_moved,
    }


def _proof_data(proof: Proof) -> dict[str, object]:
    return {
        "old_track": str(proof.old_track),
        "new_track": str(proof.new_track),
        "is_exact": proof.is_exact,
        "n_units": proof.n_units,
        "n_samples_same": proof.n_samples,
        "n_samples_other": proof.n_other_samples,
        "differing": list(proof.differing),
        "why_not": proof.why_not,
        "holds": proof.holds,
    }


def shape_text(found: Shape) -> str:
    """Return how two tests compare by their shape."""
    rows = _shape_rows(found) or [
        "one shape: the same readings and silences; words, pace and length within their limits"
    ]
    if not found.is_exact:
        rows.append("pace and length are estimates: not all words of both are voiced yet")
    return "\n".join(rows) + "\n"


def _shape_rows(found: Shape) -> list[str]:
    return [
        f"version {one.label}: {one.where}{_lines(one.first_line, one.second_line)}: {one.what}"
        + (f": {one.first} and {one.second}" if one.first or one.second else "")
        for one in found.others
    ]


def _lines(*lines: int) -> str:
    return f" (lines {' and '.join(map(str, lines))})" if all(lines) else ""


def shape_data(found: Shape) -> dict[str, object]:
    """Return how two tests compare by their shape, as plain data."""
    return {
        "is_alike": found.is_alike,
        "is_exact": found.is_exact,
        "versions": list(found.labels),
        "others": [
            {
                "version_label": one.label,
                "where": one.where,
                "what": one.what,
                "first": one.first,
                "second": one.second,
                "first_line": one.first_line,
                "second_line": one.second_line,
            }
            for one in found.others
        ],
    }
