"""Passages and dictations of the walk: every reading, and the silences around it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.promises.line_walk import LineWalk
from pausewright.checker.promises.reading_counts import dictation_order, passage_order
from pausewright.checker.promises.templates import announced
from pausewright.script.model import Text

if TYPE_CHECKING:
    from pausewright.checker.promises.events import Said
    from pausewright.script.model import Delivery, Dictation, Inline, Passage


class MaterialWalk(LineWalk):
    """Notes readings of passages and dictations, inside questions or alone."""

    def passage(self, passage: Passage, base: Said, *, is_inside: bool, is_of_row: bool) -> None:
        """Rule 5: all readings of a passage, and what it declares after them."""
        track, delivery = self._track, passage.delivery
        first = replace(base, role="passage", place=passage.place)
        order = passage_order(passage, self._n_declared)
        if not is_inside:
            track.heard[track.at].append(len(order))
        n_whole = 0
        now = first
        for at, kind in enumerate(order, 1):
            now = first if is_inside else replace(first, reading=at)
            template = announced(delivery, at, is_passage=True)
            nodes = (
                []
                if template is None
                else track.templates.filled(template, passage.place, "", "", len(order), at)
            )
            self._announce(template, now, delivery, nodes)
            if at == 1 and passage.look_time_s is not None:
                looked_s = track.looked(passage.look_time_s.value)
                track.wait("look-time", looked_s, now, passage.place)
            for prose in passage.content:
                self.prose(prose, now, delivery.captions)
                if kind == "pieces":
                    track.by_hand(now, prose.place)
            n_whole += kind == "whole"
            if kind == "whole" and at < len(order):
                wait_s = between_s(delivery, n_whole)
                track.wait("between-readings", wait_s, now, passage.place)
        if passage.pause_after_s is not None:
            track.wait("pause", passage.pause_after_s.value, now, passage.place)
        track.answer(delivery.answer_time, now, passage.place, is_of_row=is_of_row)

    def dictation(
        self, dictation: Dictation, base: Said, *, is_inside: bool, is_of_row: bool
    ) -> None:
        """Note the readings of a dictation: whole, and phrase by phrase with its times."""
        track = self._track
        first = replace(base, role="dictation", place=dictation.place)
        order = dictation_order(dictation, self._n_declared)
        if not is_inside:
            n_heard = sum(dictation.phrase_readings if o == "phrases" else 1 for o in order)
            track.heard[track.at].append(n_heard)
        own = dictation.answer_time
        ends_itself = own is None or own.value is None
        between = dictation.between_readings_s.value
        now = first
        for at, kind in enumerate(order, 1):
            now = first if is_inside else replace(first, reading=at)
            if kind == "whole":
                self._whole(dictation, now)
            else:
                self._phrases(dictation, now, is_last_timed=at == len(order) and ends_itself)
            if at < len(order):
                wait_s = between[min(at, len(between)) - 1]
                track.wait("between-readings", wait_s, now, dictation.place)
        track.answer(own, now, dictation.place, is_of_row=is_of_row)

    def _whole(self, dictation: Dictation, base: Said) -> None:
        rows: list[list[Inline]] = []
        for phrase in dictation.phrases:
            if phrase.starts_paragraph or not rows:
                rows.append([])
            else:
                rows[-1].append(Text(" ", phrase.prose.place))
            rows[-1] += phrase.prose.inlines
        for row in rows:
            self.line(row, base, dictation.captions, dictation.speech)

    def _phrases(self, dictation: Dictation, base: Said, *, is_last_timed: bool) -> None:
        n_phrases = len(dictation.phrases)
        n_grown = sum(one.phrase_time_s is None for one in dictation.phrases)
        first_s, last_s = dictation.phrase_time_s
        at_grown = 0
        for n, phrase in enumerate(dictation.phrases, 1):
            if phrase.phrase_time_s is not None:
                time_s = phrase.phrase_time_s.value
            else:
                share = Fraction(at_grown, n_grown - 1) if n_grown > 1 else Fraction(0)
                time_s = first_s + (last_s - first_s) * share
                at_grown += 1
            place = phrase.prose.place
            for reading in range(dictation.phrase_readings):
                if reading:
                    gap_s = dictation.between_phrase_readings_s
                    self._track.wait("between-phrase-readings", gap_s, base, place)
                self.line(phrase.prose.inlines, base, dictation.captions, phrase.prose.speech)
            if n < n_phrases or is_last_timed:
                self._track.wait("phrase-time", time_s, base, place)


def between_s(delivery: Delivery, reading: int) -> Fraction:
    """Return the silence after a reading: one value for all, else the last one once more."""
    values = delivery.between_readings_s.value
    return values[min(reading, len(values)) - 1]
