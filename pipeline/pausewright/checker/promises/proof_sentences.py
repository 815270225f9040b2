"""The lines of proof: for every declared field what was asked and what was found, with figures."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.promises.events import Said, Waited, solid
from pausewright.checker.promises.said_as_promised import READ
from pausewright.checker.result.items import Asked, name_of
from pausewright.checker.result.proofs import FieldProof, seconds_text

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from pausewright.arrange.arrangement import FieldName
    from pausewright.checker.match.match import Matching
    from pausewright.checker.promises.differences import Difference
    from pausewright.checker.promises.found import Found, FoundSilence
    from pausewright.checker.promises.promise import Promise
    from pausewright.checker.promises.shown_as_promised import ShownCount
    from pausewright.checker.promises.sounded_as_promised import SoundedAsPromised
    from pausewright.checker.promises.waited_as_promised import MarkCount
    from pausewright.checker.result.items import Item
    from pausewright.checker.result.proofs import Comparison

MOST_NAMED: Final = 5
ONLY_BY_EAR: Final = "not proven without the ear"


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
        marks: Mapping[str, MarkCount],
        shown: ShownCount,
        sounded: SoundedAsPromised,
        loudness_lufs: float | None,
        comparison: Comparison | None,
    ) -> tuple[FieldProof, ...]:
        """Return a proof for each declared field, and of words, tones and captions."""
        arrangement = self._promise.arrangement
        found: list[FieldProof] = []
        for name in arrangement.declared():
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
                found.append(self._pauses(marks))
            elif name == "extra-time":
                found.append(self._extra_time())
            elif name == "extra-time-confirmed":
                found.append(_confirmed(self._promise, self._wrong))
            elif name == "pace":
                found.append(self._pace(comparison))
            elif name == "loudness":
                found.append(self._loudness(loudness_lufs))
            elif name in {"voice", "format", "transcript", "background", "split", "test-time"}:
                found.append(self._plain(name))
        if shown.n_files:
            found.append(self._captions(shown))
        if sounded.n_tones:
            n, m = sounded.n_tones, sounded.n_tones_measured
            sentence = f"{n} asked, pitch measured of {m}"
            found.append(FieldProof("tones", n, m, sentence, "promise-tone" not in self._codes))
        found.append(self._words())
        return tuple(found)

    # ---- one field each

    def _proof(self, name: FieldName, n_asked: int, n_found: int, sentence: str) -> FieldProof:
        return FieldProof(name, n_asked, n_found, sentence, name not in self._wrong)

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
        sentence = f"{lengths} asked in {len(asked)} places, measured in {n}"
        return self._proof("look-time", len(asked), n, sentence)

    def _rest_breaks(self) -> FieldProof:
        breaks = self._promise.arrangement.rest_breaks
        place = self._promise.place_of("rest-breaks")
        there = [one for one in self._found.silences if one.kind == "hold" and one.place == place]
        names = _named([name_of(one.after) for one in there if one.after is not None])
        if breaks is not None and breaks.every_s is not None:
            sentence = f"every {seconds_text(breaks.every_s)} s at most; {len(there)} heard"
            n_asked = len(there)
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
        return self._proof("leave-out", len(items), len(heard), sentence)

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
        return self._proof("pauses", n_asked, n_found, sentence)

    def _extra_time(self) -> FieldProof:
        promise = self._promise
        if promise.refusal:
            return self._proof("extra-time", 1, 0, promise.refusal)
        longer = [
            (a, b)
            for a, b in zip(_in_order(promise.events), _in_order(promise.plain), strict=False)
            if a.wait_s != b.wait_s
        ]
        added = [one for one in promise.waited() if one.kind == "extra-time"]
        places = len(longer) + len(added)
        sentence = (
            f"{seconds_text(promise.entitled_s)} s in {places} silences, by a sum of the check's "
            "own"
        )
        wrong = "extra-time" in self._wrong
        sentence += "; the silences do not hold it" if wrong else "; each is as long as promised"
        return self._proof("extra-time", places, 0 if wrong else places, sentence)

    def _pace(self, comparison: Comparison | None) -> FieldProof:
        pace = self._promise.arrangement.arranged_pace
        sentence = f"{float(100 * pace):g} % asked; "
        if comparison is not None and comparison.pace_over_all is not None:
            sentence += f"{float(100 * comparison.pace_over_all):.2f} % measured over all"
        else:
            sentence += "not measured: only beside the standard track can it be"
        n = len(self._promised)
        return self._proof("pace", n, 0 if "pace" in self._wrong else n, sentence)

    def _loudness(self, measured: float | None) -> FieldProof:
        asked = float(self._promise.loudness_lufs)
        there = "nothing" if measured is None else f"{measured:.1f} LUFS"
        return self._proof("loudness", 1, int("loudness" not in self._wrong),
                           f"{asked:g} LUFS asked, {there} measured")  # fmt: skip

    def _plain(self, name: FieldName) -> FieldProof:
        arrangement = self._promise.arrangement
        sentence = {
            "voice": f"‘{arrangement.voice}’ asked; whose voice is heard is {ONLY_BY_EAR}",
            "format": f"{', '.join(arrangement.formats)} asked; this file is judged by itself",
            "transcript": f"{arrangement.transcript} asked; no word in it that may not be read",
            "background": "no construct puts a sound under speech: nothing to leave out",
            "split": "at stops; the pieces are judged as one track beside this one",
            "test-time": f"{seconds_text(arrangement.test_time_s or Fraction(0))} s, for sums",
        }.get(name, "")
        if name == "transcript" and name in self._wrong:
            sentence = f"{arrangement.transcript} asked; words are in it that may not be read"
        is_kept = name not in self._wrong
        return FieldProof(name, 1, int(is_kept), sentence, is_kept)

    def _captions(self, shown: ShownCount) -> FieldProof:
        promise = self._promise
        policy = promise.arrangement.captions or promise.script.settings.captions
        is_kept = not {"promise-captions", "promise-transcript", "withheld-shown"} & self._codes
        sentence = (
            f"{policy}; {shown.n_cues} captions in {shown.n_files} files; "
            f"{shown.n_captioned} of {shown.n_owed} utterances that must be shown have one"
        )
        return FieldProof("captions", shown.n_owed, shown.n_captioned, sentence, is_kept)

    def _words(self) -> FieldProof:
        sounds = [i for one in self._found.words.values() for i in one.sounds]
        heard = [i for i in sounds if self._matching.heard[i] is not None]
        sentence = (
            f"{len(heard)} of {len(sounds)} sounds are heard where the script has them; that they "
            f"say its words is {ONLY_BY_EAR}"
        )
        return FieldProof("words", len(sounds), len(heard), sentence, len(heard) == len(sounds))


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
