"""The promise of a version: everything declared that its track and what goes with it must hold.

It is derived from the script as its author wrote it and from the typed arrangement, by a reading of
docs/script-language.md and docs/arrangements.md of its own. Nothing is taken from what arranges,
re-words, plans or captions, so that a fault there cannot excuse itself.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.expect.expected import Expectation, ExpectedSilence
from pausewright.checker.expect.extra_time import granted
from pausewright.checker.expect.line_runs import ExpectationError
from pausewright.checker.promises.events import Said, Shown, Waited, Wild
from pausewright.checker.promises.track_walk import TrackWalk
from pausewright.frozen import frozen
from pausewright.script.declared import ToneSpec
from pausewright.script.settings.settings_table import loudness_lufs
from pausewright.wording.line_elements import ToneCue

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.arrange.arrangement import Arrangement, FieldName
    from pausewright.checker.promises.events import Event, Key
    from pausewright.checker.promises.track_walk import Occurrence
    from pausewright.problems import Place
    from pausewright.script.declared import CaptionPolicy
    from pausewright.script.model import Script
    from pausewright.wording.line_elements import Line

_NO_TONE: Final = ToneSpec(Fraction(1), Fraction(1))


@frozen
class Promise:
    """What one version must hold."""

    script: Script
    """The standard script."""
    arrangement: Arrangement
    events: tuple[Event, ...]
    """What is said and waited for, extra time included, in order."""
    plain: tuple[Event, ...]
    """The same without extra time."""
    entitled_s: Fraction
    """Extra time over all; 0 for none."""
    heard: Mapping[int, Sequence[int]]
    """How often what a block of the standard script holds is heard."""
    n_looks: int
    """Look times that the script itself has."""
    loudness_lufs: Fraction
    refusal: str = ""
    """Why the extra time cannot be given as declared; "" where it can."""

    def said(self) -> dict[Key, list[Said]]:
        """Return what is said, by key, in order."""
        found: dict[Key, list[Said]] = defaultdict(list)
        for event in self.events:
            if isinstance(event, Said):
                found[event.key].append(event)
        return dict(found)

    def waited(self) -> list[Waited]:
        """Return every declared silence, in order."""
        return [event for event in self.events if isinstance(event, Waited)]

    def place_of(self, name: FieldName) -> Place:
        """Return where a field of the arrangement is declared."""
        return self.arrangement.place_of(name, self.script.path)

    @property
    def timed_breaks_at(self) -> Place | None:
        """Where breaks are declared by time: where they come, only a reckoning of time tells."""
        breaks = self.arrangement.rest_breaks
        is_timed = breaks is not None and breaks.every_s is not None
        return self.place_of("rest-breaks") if is_timed else None

    @property
    def transcript(self) -> CaptionPolicy | None:
        """What the transcript for candidates holds, where that is declared apart from captions."""
        return self.arrangement.transcript


def promise_of(
    script: Script, arrangement: Arrangement, breaks_after: frozenset[Occurrence] = frozenset()
) -> Promise:
    """Return what a version of the standard script must hold.

    `breaks_after` are the items after which breaks that are declared by time are heard: what a
    break holds is promised there, and `timed_breaks` judges whether it belongs there.
    """
    walk = TrackWalk(script, arrangement, breaks_after)
    plain = tuple(walk.walk())
    entitled_s, events, refusal = Fraction(0), plain, ""
    if arrangement.extra_time is not None:
        try:
            entitled_s, events = _with_extra_time(plain, script, arrangement)
        except ExpectationError as error:
            refusal = error.message
    return Promise(
        script,
        arrangement,
        events,
        plain,
        entitled_s,
        dict(walk.heard),
        walk.n_looks,
        loudness_lufs(arrangement.loudness or script.settings.loudness),
        refusal,
    )


def _with_extra_time(
    plain: tuple[Event, ...], script: Script, arrangement: Arrangement
) -> tuple[Fraction, tuple[Event, ...]]:
    """Return the sum of extra time and the events with it, by the check's own sums."""
    waits = [event for event in plain if isinstance(event, Waited)]
    silences = tuple(
        ExpectedSilence(
            one.kind,
            one.wait_s,
            one.place,
            one.item,
            one.reading,
            one.block,
            one.is_answer_of_row,
        )
        for one in waits
    )
    test_s = arrangement.test_time_s or script.settings.test_time_s
    timed = replace(script, settings=replace(script.settings, test_time_s=test_s))
    extra = arrangement.extra_time
    words = None if extra is None else extra.words
    place = arrangement.place_of("extra-words", script.path)

    def announcement(_: Fraction) -> Line:
        return () if words is None else (ToneCue("", _NO_TONE, place),)

    found = granted(Expectation((), silences, ()), timed, arrangement, announcement)
    longer = iter(found.expectation.silences)
    following: list[ExpectedSilence] = []
    events: list[Event] = []
    shown = (arrangement.captions or script.settings.captions) != "nothing"
    following = list(longer)
    at = 0
    for event in plain:
        if not isinstance(event, Waited):
            events.append(event)
            continue
        events.append(replace(event, wait_s=following[at].wait_s))
        at += 1
        while at < len(following) and following[at].kind == "extra-time":
            said = Said(
                "cue",
                None,
                0,
                place,
                event.block,
                _announced(words or ""),
                (Shown((words or "").replace("{time}", " "), shown),),
                voice=arrangement.voice or script.settings.voice,
                after=event.after,
                is_shown_whole=shown,
            )
            events.append(said)
            events.append(
                Waited(
                    "extra-time", following[at].wait_s, None, place, event.block, event.after,
                    role="cue",
                )
            )  # fmt: skip
            at += 1
    return found.entitled_s, tuple(events)


def _announced(words: str) -> tuple[str | Wild, ...]:
    before, _, after = words.partition("{time}")
    return before, Wild("time"), after.replace("{time}", "")
