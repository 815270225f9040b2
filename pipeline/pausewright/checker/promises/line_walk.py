"""Lines of the walk: words, tones and recordings, and the silences that a paragraph declares."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.checker.promises.events import Mark, Said, Wild
from pausewright.checker.promises.templates import is_built_in
from pausewright.checker.promises.written import written

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.promises.note_taker import NoteTaker
    from pausewright.script.declared import CaptionPolicy
    from pausewright.script.model import Delivery, Inline, Prose, Speech


class LineWalk:
    """Notes lines in the walk of one version."""

    def __init__(self, track: NoteTaker) -> None:
        """Keep the walk that takes the events."""
        self._track = track
        self._n_declared = track.arrangement.readings

    def line(
        self,
        nodes: Sequence[Inline],
        base: Said,
        policy: CaptionPolicy,
        speech: Speech,
        *,
        follows_words: bool = False,
    ) -> None:
        """Note a line: its words, tones and recordings, and the author's pauses in it.

        `follows_words`: a sentence ends where the line begins, as between steps of a pattern.
        """
        track = self._track
        asks = base.role in {"question", "passage", "dictation", "answer"}
        shown = track.is_shown(base.role, track.policy(policy))
        found = written(nodes, track.settings, asks=asks, is_shown=shown, reading=base.reading)
        said = replace(
            base,
            chunks=tuple(found.chunks),
            shown=tuple(found.shown),
            tones=tuple(found.tones),
            recordings=tuple(found.recordings),
            voice=track.voice(speech.voice),
            is_shown_whole=shown,
        )
        n_before = track.n_signs(said)
        marks = [replace(one, at=one.at + n_before) for one in found.marks]
        if follows_words and found.begins_with_words:
            marks.insert(0, Mark("sentence", n_before, base.place))
        track.say(replace(said, marks=tuple(marks)))
        for n, (at, pause_s, place) in enumerate(found.pauses, 1):
            is_last = n == len(found.pauses) and found.ends_in_pause
            track.wait("pause", pause_s, said, place, at=n_before + at, is_last=is_last)

    def prose(
        self,
        prose: Prose,
        base: Said,
        policy: CaptionPolicy,
        nodes: Sequence[Inline] | None = None,
    ) -> None:
        """Note a paragraph with the silence that it declares."""
        base = replace(base, place=prose.place)
        self.line(prose.inlines if nodes is None else nodes, base, policy, prose.speech)
        track = self._track
        if prose.look_time_s is not None:
            track.wait("look-time", track.looked(prose.look_time_s.value), base, prose.place)
        if prose.pause_after_s is not None:
            track.wait("pause", prose.pause_after_s.value, base, prose.place)
        track.answer(prose.answer_time, base, prose.place)

    def _announce(
        self,
        template: str | None,
        base: Said,
        delivery: Delivery,
        nodes: Sequence[Inline],
    ) -> None:
        if template is None:
            return
        said = replace(base, role="announcement")
        if is_built_in(template):
            track = self._track
            shown = track.is_shown("announcement", track.policy(delivery.captions))
            voice = track.voice(delivery.speech.voice)
            track.say(replace(said, chunks=(Wild(),), voice=voice, is_shown_whole=shown))
        else:
            self.line(nodes, said, delivery.captions, delivery.speech)
