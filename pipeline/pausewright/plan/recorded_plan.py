"""Where everything of a given recording goes in a version, and what fills its longer gaps.

The standard track is the recording itself. A version keeps every sample of it that nothing
declared: what is made longer is made longer in the middle of a gap, by samples that are put in.
Here are whole samples only; what is quiet in the recording is asked of `Quiet`.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, Protocol, TypeAlias

from pausewright.frozen import frozen
from pausewright.plan.recorded_gaps import Gap, StandardGaps, key_of
from pausewright.plan.timeline import Mark, Placed, Say, Timeline, Wait
from pausewright.problems import PausewrightError
from pausewright.wording.line_elements import Excerpt

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.plan.extra_time import Added
    from pausewright.plan.recorded_gaps import Bound
    from pausewright.plan.timeline import Step
    from pausewright.problems import Place
    from pausewright.wording.line_elements import SoundElement

KEPT_S: Final = Fraction(1, 20)
"""What stays as it is before and after speech, where the recording is cut."""
BLEND_S: Final = Fraction(1, 50)
"""Length of the cross-fade between the recording and what is put in."""
SLOWED_EDGE_S: Final = Fraction(7, 100)
"""What is taken with slowed speech on either side, so that its ends are whole."""


class RecordingError(PausewrightError):
    """A place of a recording where what is declared cannot be done."""

    def __init__(self, message: str, hint: str, place: Place) -> None:
        """Name the place in the script."""
        super().__init__(message, hint)
        self.place = place


class Quiet(Protocol):
    """Where a recording is quiet, in its own samples."""

    def cut(self, start: int, end: int) -> int | None:
        """Return the best place to cut between two samples; None where none is quiet."""

    def until(self, start: int, end: int) -> int:
        """Return the sample up to which it is quiet from `start` on, `end` at most."""

    def since(self, start: int, end: int) -> int:
        """Return the sample from which on it is quiet up to `end`, `start` at least."""


@frozen
class Copied:
    """Samples of the recording as they are: [start, end)."""

    start: int
    end: int

    @property
    def n_samples(self) -> int:
        """Length in the version."""
        return self.end - self.start


@frozen
class Filled:
    """The room's own sound, put in: it goes on from sample `left` and leads to sample `right`."""

    n_samples: int
    left: int
    right: int


@frozen
class Slowed:
    """Speech [start, end) of the recording, `n_spoken` samples long, with its edges."""

    start: int
    end: int
    before: int
    """Samples of quiet taken with it, as many in the version as in the recording."""
    after: int
    n_spoken: int

    @property
    def n_samples(self) -> int:
        """Length in the version."""
        return self.before + self.n_spoken + self.after


Piece: TypeAlias = Copied | Filled | Slowed


@frozen
class Over:
    """A sound that is no part of the recording, laid over it from a sample of the version on."""

    element: SoundElement
    at_sample: int


@frozen
class RecordedPlan:
    """A version of a recording."""

    timeline: Timeline
    pieces: tuple[Piece, ...]
    """End to end, without holes."""
    over: tuple[Over, ...]
    is_whole: bool
    """Whether it is the recording, sample for sample."""


@frozen
class _Run:
    """What stands between two stretches of the recording."""

    steps: tuple[tuple[int, Step], ...]
    before: Say | None
    after: Say | None


class RecordedPlanner:
    """Lays versions of one recording."""

    def __init__(
        self,
        standard: Sequence[Step],
        bound: Callable[[Excerpt], Bound],
        quiet: Quiet,
        *,
        n_samples: int,
        rate_hz: int,
    ) -> None:
        """Take the steps of the standard track, where its speech is, and where it is quiet."""
        self._bound = bound
        self._quiet = quiet
        self._n_source = n_samples
        self._rate_hz = rate_hz
        self._gaps = StandardGaps(standard, bound, n_samples)
        self._kept, self._blend, self._edge = (
            int(s * rate_hz) for s in (KEPT_S, BLEND_S, SLOWED_EDGE_S)
        )

    def plan(
        self,
        steps: Sequence[Step],
        added: Sequence[Added],
        n_sound_samples: Callable[[SoundElement], int],
    ) -> RecordedPlan:
        """Return where everything lies.

        Parameters
        ----------
        steps : of the version, with its extra time
        added : what extra time comes to which of them
        n_sound_samples : length of a sound that is no part of the recording

        Raises
        ------
        RecordingError
            Where the recording has no clean edge for what is declared.
        """
        longer = {one.step: one for one in added}
        placed: list[Placed] = []
        pieces: list[Piece] = []
        over: list[Over] = []
        at = 0
        for run in _runs(steps):
            lengths = []
            for index, step in run.steps:
                n = 0
                if isinstance(step, Wait):
                    n = self._samples(self._wait_s(step, run, longer.get(index)))
                elif isinstance(step, Say):
                    n = n_sound_samples(step.element)
                lengths.append(n)
            pieces += self._laid(run, lengths)
            for (_, step), n in zip(run.steps, lengths, strict=True):
                placed.append(Placed(step, at, at + n))
                if isinstance(step, Say):
                    over.append(Over(step.element, at))
                at += n
            if run.after is not None:
                n = self._n_spoken(run.after)
                pieces.append(self._spoken(run.after, n))
                placed.append(Placed(run.after, at, at + n))
                at += n
        line = Timeline(self._rate_hz, tuple(placed))
        merged = _merged(pieces)
        return RecordedPlan(line, merged, tuple(over), merged == (Copied(0, self._n_source),))

    def _samples(self, wait_s: Fraction) -> int:
        return -(-wait_s.numerator * self._rate_hz // wait_s.denominator)

    # ---- how long

    def _wait_s(self, wait: Wait, run: _Run, added: Added | None) -> Fraction:
        """Return what a silence of the version lasts: as measured where nothing changes it."""
        gap = self._gap_of(wait, run)
        if gap is None:
            return wait.wait_s
        measured_s = Fraction(gap.n_samples, self._rate_hz)
        if wait.kind in {"lead-in", "run-out"}:
            return measured_s
        if wait.kind != gap.wait.kind:
            return max(measured_s, wait.wait_s)
        if wait.wait_s == gap.wait.wait_s:
            return measured_s
        if added is not None and added.before_s == gap.wait.wait_s:
            share = (added.before_s + added.spread_s) / added.before_s
            return measured_s * share + added.lump_s
        return wait.wait_s

    def _gap_of(self, wait: Wait, run: _Run) -> Gap | None:
        """Return the gap of the recording that a silence stands for."""
        after = self._gaps.after(key_of(run.before))
        before = self._gaps.before(key_of(run.after))
        for one in (after, before):
            if one is not None and one.is_alike(wait):
                return one
        n_waits = sum(isinstance(step, Wait) for _, step in run.steps)
        if after is not None and after == before and n_waits == 1:
            return after
        return self._gaps.like(wait)

    def _pace(self, say: Say) -> Fraction:
        return say.element.sound.arranged_pace if isinstance(say.element, Excerpt) else Fraction(1)

    def _n_spoken(self, say: Say) -> int:
        bound, pace = self._of(say), self._pace(say)
        n = bound.end - bound.start
        return n if pace == 1 else round(n / pace)

    def _of(self, say: Say) -> Bound:
        if not isinstance(say.element, Excerpt):
            raise TypeError("only stretches of the recording are bound")
        return self._bound(say.element)

    # ---- with what

    def _edges(self, say: Say) -> tuple[int, int]:
        """Return how much quiet is taken with a stretch that is slowed: before and after it."""
        if self._pace(say) == 1:
            return 0, 0
        bound = self._of(say)
        room = [
            (bound.start - self._quiet.since(max(0, bound.start - 4 * self._edge), bound.start)),
            (self._quiet.until(bound.end, bound.end + 4 * self._edge) - bound.end),
        ]
        edges = [min(self._edge, n // 2) for n in room]
        if min(edges) < self._blend // 2:
            raise RecordingError(
                "this stretch has no clean edge: the recording is not quiet for "
                f"{float(self._blend / self._rate_hz) * 1000:.0f} ms before and after it, so it "
                "cannot be slowed by itself",
                "bind it together with its neighbour, or correct from and to",
                say.element.place,
            )
        return edges[0], edges[1]

    def _spoken(self, say: Say, n_spoken: int) -> Piece:
        bound = self._of(say)
        if self._pace(say) == 1:
            return Copied(bound.start, bound.end)
        before, after = self._edges(say)
        return Slowed(bound.start, bound.end, before, after, n_spoken)

    def _laid(self, run: _Run, lengths: Sequence[int]) -> list[Piece]:
        """Return what is heard between two stretches: of the recording as much as there is."""
        left = 0 if run.before is None else self._of(run.before).end + self._edges(run.before)[1]
        right = self._n_source
        if run.after is not None:
            right = self._of(run.after).start - self._edges(run.after)[0]
        n_all = sum(lengths)
        n_all -= 0 if run.before is None else self._edges(run.before)[1]
        n_all -= 0 if run.after is None else self._edges(run.after)[0]
        is_own = any(isinstance(step, Say) for _, step in run.steps)
        is_next = self._gaps.follow(key_of(run.before), key_of(run.after))
        if is_next and not is_own:
            if n_all == right - left:
                return [Copied(left, right)]
            if n_all > right - left:
                return self._longer(run, left, right, n_all)
        # the first and the last silence hold what is heard of the recording's own gaps
        waits = [n for (_, step), n in zip(run.steps, lengths, strict=True) if not _is_mark(step)]
        most = (waits[0], waits[-1]) if is_own and waits else (n_all, n_all)
        return self._joined(run, left, right, n_all, most)

    def _longer(self, run: _Run, left: int, right: int, n_all: int) -> list[Piece]:
        """Return a gap that is made longer: all its samples, and the room's sound between them."""
        first = left if run.before is None else left + self._kept
        last = right if run.after is None else right - self._kept
        cut = self._quiet.cut(first, last) if first < last else None
        if cut is None:
            raise self._no_edge(run)
        n_more = n_all - (right - left)
        d = 0 if n_more >= 2 * self._blend else self._blend
        if not (first <= cut - d and cut + d <= last):
            d = 0
        return [
            Copied(left, cut - d),
            Filled(n_more + 2 * d, cut - d, cut + d),
            Copied(cut + d, right),
        ]

    def _joined(
        self, run: _Run, left: int, right: int, n_all: int, most: tuple[int, int]
    ) -> list[Piece]:
        """Return a clean joint of stretches that do not follow each other, or come nearer."""
        limit = self._gaps.next_start(key_of(run.before))
        begin = self._gaps.last_end(key_of(run.after))
        n_left = self._quiet.until(left, max(left, limit)) - left - self._blend
        n_right = right - self._quiet.since(min(begin, right), right) - self._blend
        if (run.before is not None and n_left < 0) or (run.after is not None and n_right < 0):
            raise self._no_edge(run)
        n_least = 2 * self._blend
        spare = n_all - n_least
        if spare < 0:
            raise self._no_edge(run)
        n_left = max(0, min(n_left, most[0], spare // 2))
        n_right = max(0, min(n_right, most[1], spare - n_left))
        return [
            Copied(left, left + n_left),
            Filled(n_all - n_left - n_right, left + n_left, right - n_right),
            Copied(right - n_right, right),
        ]

    def _no_edge(self, run: _Run) -> RecordingError:
        say = run.after or run.before
        if say is None:
            raise ValueError("a recording without a stretch has no gaps")
        return RecordingError(
            "the recording has no clean edge before this: it is not quiet there for "
            f"{2 * int(KEPT_S * 1000)} ms, so nothing can be cut or put in",
            "correct from and to, or bind this together with what is before it",
            say.element.place,
        )


def _is_mark(step: Step) -> bool:
    return isinstance(step, Mark)


def _runs(steps: Sequence[Step]) -> list[_Run]:
    """Return what stands before each stretch of the recording, and after the last."""
    runs: list[_Run] = []
    between: list[tuple[int, Step]] = []
    before: Say | None = None
    for index, step in enumerate(steps):
        if isinstance(step, Say) and isinstance(step.element, Excerpt):
            runs.append(_Run(tuple(between), before, step))
            between, before = [], step
        else:
            between.append((index, step))
    return [*runs, _Run(tuple(between), before, None)]


def _merged(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Return pieces without empty ones, and what follows each other in the recording as one."""
    found: list[Piece] = []
    for piece in pieces:
        last = found[-1] if found else None
        if isinstance(piece, Copied) and isinstance(last, Copied) and last.end == piece.start:
            found[-1] = Copied(last.start, piece.end)
        elif piece.n_samples:
            found.append(piece)
    return tuple(found)
