"""The lines of proof: for every declared field what was asked and what was found, with figures."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.promises.events import Said, Waited, solid
from pausewright.checker.promises.proofs_of_the_whole import (
    counted,
    of_captions,
    of_format,
    of_loudness,
    of_pace,
    of_the_rest,
    of_transcript,
    of_words,
)
from pausewright.checker.promises.said_as_promised import READ
from pausewright.checker.result.items import Asked, name_of
from pausewright.checker.result.proofs import FieldProof, seconds_text

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from pausewright.arrange.arrangement import FieldName
    from pausewright.checker.match.match import Matching
    from pausewright.checker.promises.delivered_track import Delivered
    from pausewright.checker.promises.differences import Difference
    from pausewright.checker.promises.found import Found, FoundSilence
    from pausewright.checker.promises.promise import Promise
    from pausewright.checker.promises.shown_as_promised import ShownCount
    from pausewright.checker.promises.sounded_as_promised import SoundedAsPromised
    from pausewright.checker.promises.waited_as_promised import MarkCount, WaitedAsPromised
    from pausewright.checker.result.items import Item

MOST_NAMED: Final = 5


class ProofSentences:
    """Words the proofs of one track."""

    def __init__(
        self,
        promise: Promise,
        found: Found,
        matching: Matching,
        differences: Sequence[Difference],
    ) -> None:
        """Keep what was asked and found."""
        self._promise = promise
        self._promised = promise.said()
        self._found = found
        self._matching = matching
        self._wrong = {one.field for one in differences}
        self._codes = {one.code for one in differences}
        self._bad_items = {one.item for one in differences if one.item is not None}

    def proofs(
        self,
        waited: WaitedAsPromised,
        shown: ShownCount,
        sounded: SoundedAsPromised,
        delivered: Delivered,
    ) -> tuple[FieldProof, ...]:
        """Return a proof for each declared field, and of words, tones and captions."""
        arrangement = self._promise.arrangement
        found: list[FieldProof] = []
        for name in arrangement.declared():
            is_wrong = name in self._wrong
            if name == "readings":
                found.append(self._readings())
            elif name == "look-time":
                found.append(self._look_time())
            elif name == "rest-breaks":
                found.append(self._rest_breaks())
            elif name == "leave-out":
                found.append(self._leave_out())
            elif name == "print":
                found.append(self._print())
            elif name == "pauses":
                found.append(self._pauses(waited.marks))
            elif name == "extra-time":
                found.append(self._extra_time(waited))
            elif name == "extra-time-confirmed":
                found.append(_confirmed(self._promise, self._wrong))
            elif name == "pace":
                found.append(of_pace(self._promise, delivered.comparison, is_wrong=is_wrong))
            elif name == "loudness":
                found.append(of_loudness(self._promise, delivered.loudness_lufs, is_wrong=is_wrong))
            elif name == "format":
                found.append(of_format(self._promise, delivered.container, is_wrong=is_wrong))
            elif name == "transcript":
                found.append(of_transcript(self._promise, len(delivered.others), is_wrong=is_wrong))
            elif name in {"voice", "background", "split", "test-time"}:
                found.append(of_the_rest(name, self._promise, is_wrong=is_wrong))
        captions = of_captions(self._promise, shown, self._codes)
        found += [captions] if captions else []
        if sounded.n_tones:
            n, m = sounded.n_tones, sounded.n_tones_measured
            sentence = f"{n} asked, pitch measured of {m}"
            is_kept = "promise-tone" not in self._codes and n == m
            found.append(FieldProof("tones", n, m, sentence, is_kept))
        found.append(of_words(self._found, self._matching, delivered.ear))
        return tuple(found)

    # ---- one field each

    def _proof(
        self,
        name: FieldName,
        n_asked: int,
        n_found: int,
        sentence: str,
        *,
        n_excused: int = 0,
    ) -> FieldProof:
        """Return a proof that is kept where all that was asked is on the track, but for excuses."""
        is_kept = name not in self._wrong and n_found >= n_asked - n_excused
        return FieldProof(name, n_asked, n_found, sentence, is_kept)

    def _items(self) -> list[Item]:
        return list(
            dict.fromkeys(
                key[1]
                for key in self._promised
                if key[1] is not None
                and key[0] in READ
                and not (isinstance(key[1], Asked) and key[1].manner != "in place")
            )
        )

    def _is_heard(self, item: Item) -> bool:
        """Say whether every reading of an item has its words and was heard."""
        for key, said in self._promised.items():
            if key[1] != item or key[0] not in READ:
                continue
            there = self._found.words.get(key)
            if there is None or any(self._matching.heard[i] is None for i in there.sounds):
                return False
            asked = "".join(solid(c) for one in said for c in one.chunks if isinstance(c, str))
            if asked != solid(there.text):
                return False
        return True

    def _readings(self) -> FieldProof:
        n = self._promise.arrangement.readings or 0
        items = self._items()
        heard = [item for item in items if self._is_heard(item)]
        sentence = f"{n} asked, {n} heard in {len(heard)} of {len(items)} questions and passages"
        others = [
            f"{name_of(item)} has {k}"
            for item in items
            if (k := self._n_readings(item)) != n and item not in self._bad_items
        ]
        lost = [name_of(item) for item in items if item not in heard]
        if lost:
            sentence += f"; not in {_named(lost)}"
        if others:
            sentence += f"; as written: {_named(others)}"
        return self._proof("readings", len(items), len(heard), sentence)

    def _n_readings(self, item: Item) -> int:
        blocks = {one.block for said in self._promised.values() for one in said if one.item == item}
        counts = [n for block in blocks for n in self._promise.heard.get(block, ()) if n]
        if counts:
            return max(counts)
        return self._promise.arrangement.readings or 0

    def _silences(self, *kinds: str) -> tuple[list[Waited], list[FoundSilence]]:
        asked = [one for one in self._promise.waited() if one.kind in kinds]
        return asked, [one for one in self._found.silences if one.kind in kinds and one.is_heard]

    def _look_time(self) -> FieldProof:
        asked, there = self._silences("look-time")
        lengths = _lengths(one.wait_s for one in asked)
        n = sum(any(abs(one.wait_s - a.wait_s) < Fraction(1, 1000) for a in asked) for one in there)
        sentence = f"{lengths} asked in {counted(len(asked), 'place')}, measured in {n}"
        return self._proof("look-time", len(asked), n, sentence)

    def _rest_breaks(self) -> FieldProof:
        breaks = self._promise.arrangement.rest_breaks
        place = self._promise.place_of("rest-breaks")
        laid = [one for one in self._found.silences if one.kind == "hold" and one.place == place]
        there = [one for one in laid if one.is_heard]
        names = _named([name_of(one.after) for one in there if one.after is not None])
        if breaks is not None and breaks.every_s is not None:
            sentence = f"every {seconds_text(breaks.every_s)} s at most; {len(there)} heard"
            n_asked = len(laid)
        else:
            asked = [one for one in self._promise.waited() if one.is_of_arrangement]
            n_asked = len(asked)
            sentence = f"{n_asked} asked, {len(there)} heard"
        if names:
            sentence += f": after {names}"
        return self._proof("rest-breaks", n_asked, len(there), sentence)

    def _print(self) -> FieldProof:
        look = self._promise.arrangement.print_look
        n_asked = 0 if look is None else len(look.before)
        place = self._promise.place_of("print")
        there = [one for one in self._found.silences if one.place == place and one.is_heard]
        size = "" if look is None else f"{float(look.size_pt):g} pt on {look.paper}"
        sentence = f"{size}: {n_asked} page turns of its own asked, {len(there)} heard"
        return self._proof("print", n_asked, len(there), sentence)

    def _leave_out(self) -> FieldProof:
        titles = self._promise.arrangement.leave_out
        items = self._items()
        heard = [item for item in items if self._is_heard(item)]
        there = {key[1] for key in self._found.words if key[1] is not None and key[0] in READ}
        extra = [name_of(one) for one in sorted(there - set(items), key=str)
                 if not (isinstance(one, Asked) and one.manner != "in place")]  # fmt: skip
        names = ", ".join(f"‘{title}’" for title in titles)
        sentence = f"{names} absent; {len(heard)} of the {len(items)} others heard"
        if extra:
            sentence = f"{names} not absent: {_named(extra)} heard"
        if n_more := len(self._matching.extras):
            sounds = "1 sound is" if n_more == 1 else f"{n_more} sounds are"
            sentence += f"; {sounds} there that the script does not have"
        n_heard = len(heard) if not (extra or n_more) else min(len(heard), len(items) - 1)
        return self._proof("leave-out", len(items), n_heard, sentence)

    def _pauses(self, marks: Mapping[str, MarkCount]) -> FieldProof:
        n_asked = sum(one.asked for one in marks.values())
        n_found = sum(one.found for one in marks.values())
        sentence = f"{n_found} of {n_asked} marks lengthened"
        reasons: dict[str, set[int]] = {}
        for one in marks.values():
            for why, lines in one.excused.items():
                reasons.setdefault(why, set()).update(lines)
        n_excused = n_asked - n_found
        if reasons:
            told = "; ".join(f"{why} ({_lines(lines)})" for why, lines in reasons.items())
            sentence += f"; {n_excused} not: {told}"
        elif n_excused:
            sentence += f"; {n_excused} not"
        n_told = sum(one.n_excused for one in marks.values())
        return self._proof("pauses", n_asked, n_found, sentence, n_excused=n_told)

    def _extra_time(self, waited: WaitedAsPromised) -> FieldProof:
        promise = self._promise
        if promise.refusal:
            return self._proof("extra-time", 1, 0, promise.refusal)
        longer = [
            a
            for a, b in zip(_in_order(promise.events), _in_order(promise.plain), strict=False)
            if a.wait_s != b.wait_s
        ]
        longer += [one for one in promise.waited() if one.kind == "extra-time"]
        n_heard = sum(waited.is_heard(one) for one in longer)
        sentence = (
            f"{seconds_text(promise.entitled_s)} s in {counted(len(longer), 'silence')}, by a "
            "sum of the check's own; "
        )
        if "extra-time" in self._wrong:
            sentence += "the silences do not hold it"
        elif n_heard < len(longer):
            sentence += f"{n_heard} of them as long as promised on the track"
        else:
            sentence += "each is as long as promised"
        return self._proof("extra-time", len(longer), n_heard, sentence)


def _in_order(events: Iterable[Said | Waited]) -> list[Waited]:
    return [one for one in events if isinstance(one, Waited) and one.kind != "extra-time"]


def _lengths(times_s: Iterable[Fraction]) -> str:
    return " and ".join(f"{seconds_text(one)} s" for one in sorted(set(times_s))) or "nothing"


def _named(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def _lines(lines: set[int]) -> str:
    return f"line{'s' * (len(lines) > 1)} {', '.join(map(str, sorted(lines)))}"


def _confirmed(promise: Promise, wrong: Collection[FieldName | None]) -> FieldProof:
    confirmed_s = promise.arrangement.extra_time_confirmed_s or Fraction(0)
    sentence = (
        f"{seconds_text(confirmed_s)} s confirmed; the check's own sum is "
        f"{seconds_text(promise.entitled_s)} s"
    )
    is_kept = "extra-time-confirmed" not in wrong
    return FieldProof("extra-time-confirmed", 1, int(is_kept), sentence, is_kept)
