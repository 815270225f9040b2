"""From a recording with its paper or a recogniser to a draft: what is said where, and waits."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.alignment.phone_words import plain, spoken_words
from pausewright.alignment.runs import splits_ms
from pausewright.alignment.said_lines import SaidLine, paired, total_cost, unlike, usual_s
from pausewright.drafting.chains import heard_runs, parted
from pausewright.drafting.draft_model import Doubt, Draft, Reading, Said, clock
from pausewright.drafting.ears import ANNOUNCING, Hearings, announces
from pausewright.drafting.heard_again import Again, heard_doubts, text_doubts
from pausewright.drafting.orders import reordered
from pausewright.drafting.paper_units import in_sentences
from pausewright.drafting.values import likely_ms, likely_values, unusual
from pausewright.frozen import frozen
from pausewright.problems import SoundError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.alignment.given_sound import GivenSound, Listener
    from pausewright.alignment.runs import Run
    from pausewright.alignment.said_lines import HeardRun, Pair
    from pausewright.drafting.chains import Chain, Parted
    from pausewright.drafting.ears import HeardText
    from pausewright.drafting.paper_units import PaperUnit

    Told = Callable[[str, int, int], None]
    SpokenOf = Callable[[str], str]

_MOST_QUESTIONS: Final = 120
_UNFIT_SHARE: Final = 0.5
_UNFIT_COST: Final = 4.5
"""What is paired with so much unlikeness is another thing."""
_CLEARER: Final = 0.6
"""By how much better the paper must fit another parting than that by the clearest jump."""
_CLEARER_HEARD: Final = 2.0
"""By how much better without a link of readings, where their words are heard, too."""
_AS_LIKELY: Final = 3.0
"""By how much worse it may fit one that is heard, too."""
_OTHER_WORDS: Final = 0.5
_OTHER_WORDS_COST: Final = 2.0
"""What it costs a parting that a question is paired with a run that sounds more unlike it."""
_LOOSENED: Final = 8
"""Links of readings that are loosened, one at a time, to find a question of the paper."""
_MISSING: Final = {"question": 3.0, "text": 2.0, "heading": 0.3}


def drafted(
    given: GivenSound,
    units: Sequence[PaperUnit] | None,
    listener: Listener | None,
    spoken_of: SpokenOf,
    told: Told,
) -> Draft:
    """Return a draft of a recording.

    Parameters
    ----------
    units : what is on the paper; None without one, then the listener's words are used
    listener : writes down what it hears; None without one
    spoken_of : words a line as it is said
    told : called with a stage, steps done and in all

    Raises
    ------
    SoundError
        If the paper does not belong to the recording.
    """
    hearings = None if listener is None else Hearings(given, listener, spoken_of, told)
    if units is None:
        chosen = parted(given, splits_ms(given.sounding)[0], lambda n, m: told("comparing", n, m))
        _refuse_voiceless(chosen)
        heard = hearings.of(chosen.voiced) if hearings is not None else ()
        said, doubts = _by_ear(chosen.chains(heard), spoken_of)
    else:
        units = in_sentences(units)
        lines = _lines(units, spoken_of)
        laid = _laid(given, lines, hearings, told)
        chosen = laid.parted
        said, doubts = _by_paper(given, laid, units, lines, listener, spoken_of)
    sounds_only = [
        Doubt(one.start_ms, "a sound without a voice (a cough, a rustle?): it ends no silence")
        for one in chosen.runs
        if not one.is_voiced
    ]
    _measure(said, given.sounding.length_ms)
    where = given.sounding
    return Draft(
        said, [*doubts, *sounds_only], where.length_ms, where.speech_dbfs, where.noise_dbfs
    )


def _lines(units: Sequence[PaperUnit], spoken_of: SpokenOf) -> list[SaidLine]:
    """Return what is on the paper as lines that are said."""
    words = spoken_words(spoken_of(unit.text) for unit in units)
    announced = spoken_words(
        "" if unit.number is None else spoken_of(f"Number {unit.number}.") for unit in units
    )
    return [
        SaidLine(said, before, unit.kind == "question", _MISSING[unit.kind])
        for unit, said, before in zip(units, words, announced, strict=True)
    ]


@frozen
class _Laid:
    """A recording in runs, and which lines of the paper they are."""

    parted: Parted
    chains: Sequence[Chain]
    heard: Sequence[HeardRun]
    pairs: Sequence[Pair]
    moved: frozenset[int]
    """Lines that are read in another order than they stand on the paper."""
    cost: float

    def cost_heard(self, lines: Sequence[SaidLine]) -> float:
        """Return the cost where something listened: questions with other words count more."""
        others = [
            pair
            for pair in self.pairs
            if pair.has_run and pair.lines[1] == pair.lines[0] + 1
            and lines[pair.lines[0]].is_question
            and unlike(self.heard[pair.runs[1] - 1], lines[pair.lines[0]]) > _OTHER_WORDS
        ]  # fmt: skip
        return self.cost + _OTHER_WORDS_COST * len(others)


def _laid(
    given: GivenSound, lines: Sequence[SaidLine], hearings: Hearings | None, told: Told
) -> _Laid:
    """Return the recording in runs, parted so that the paper fits best.

    By lengths and silences; where something listens, those that fit about as well are heard, and
    what was heard decides. Links of readings that were loosened for a length alone hold again then.
    """
    splits = splits_ms(given.sounding)
    partings = []
    for i, split in enumerate(splits):

        def compared(n: int, m: int, n_before: int = i) -> None:
            told("comparing", n_before * m + n, len(splits) * m)

        one = parted(given, split, compared)
        _refuse_voiceless(one)
        partings.append((one, _on_lines(one, None, lines)))
    clearest = partings[0][1]
    best = min((laid for _, laid in partings), key=lambda one: one.cost)
    if hearings is None:
        return best if best.cost + _CLEARER < clearest.cost else clearest
    likely = [one for one, laid in partings if laid.cost < best.cost + _AS_LIKELY]
    heard = [_on_lines(one, hearings, lines) for one in likely]
    return min(heard, key=lambda one: one.cost_heard(lines))


def _on_lines(one: Parted, hearings: Hearings | None, lines: Sequence[SaidLine]) -> _Laid:
    """Return which lines the runs are.

    Two questions may sound so alike that they are taken for readings of one: if one of the paper is
    not found, links of readings are loosened, those over the longest silences first.
    """
    laid = _in_order(one, hearings, lines)
    while any(not pair.has_run and lines[pair.lines[0]].is_question for pair in laid.pairs):
        loosened = [_in_order(other, hearings, lines) for other in laid.parted.loosened(_LOOSENED)]
        best = min(loosened, key=lambda one: one.cost, default=laid)
        if best.cost + (_CLEARER if hearings is None else _CLEARER_HEARD) >= laid.cost:
            break
        laid = best
    return laid


def _in_order(one: Parted, hearings: Hearings | None, lines: Sequence[SaidLine]) -> _Laid:
    chains = one.chains(hearings.of(one.voiced) if hearings is not None else ())
    heard = heard_runs(chains)
    pairs, moved = reordered(paired(heard, lines), heard, lines)
    return _Laid(one, chains, heard, pairs, moved, total_cost(pairs))


def _refuse_voiceless(one: Parted) -> None:
    if not one.voiced:
        raise SoundError("no voice was found in the recording", "name one in which somebody speaks")


def _reading(runs_of: Sequence[Run], heard: str = "") -> Reading:
    first, last = runs_of[0].stretches[0], runs_of[-1].stretches[-1]
    return Reading(first.start_ms, last.end_ms, first.start_within_ms, last.end_within_ms, heard)


def _readings(chain: Chain) -> list[Reading]:
    texts = [one.text for one in chain.heard] or [""] * len(chain.runs)
    return [_reading([run], text) for run, text in zip(chain.runs, texts, strict=True)]


def _by_ear(chains: Sequence[Chain], spoken_of: SpokenOf) -> tuple[list[Said], list[Doubt]]:
    """Return what was heard: what is announced by number, or read twice, is a question."""
    numbers = _Numbers(spoken_of)
    has_numbers = sum(numbers.announced(one.heard[0], 1) is not None for one in chains) >= 2
    said: list[Said] = []
    expected = 1
    before: Chain | None = None
    for chain in chains:
        if len(chain.runs) == 1 and before is None and numbers.is_bare(chain.heard[0]):
            before = chain  # its question follows
            continue
        start = chain if before is None else before
        number = numbers.announced(start.heard[0], expected)
        readings = _readings(chain)
        text = chain.heard[0].text
        if before is not None:
            text = f"{before.heard[0].text} {text}"
            readings[0] = _reading([*before.runs, chain.runs[0]], text)
        is_question = number is not None or (
            len(chain.runs) > 1 and (not has_numbers or expected > 1)
        )
        one = Said(is_question, text, readings)
        at_ms = readings[0].start_ms
        if is_question:
            one.number = expected
            if number is not None and number != expected:
                one.doubts.append(
                    Doubt(at_ms, f"heard as number {number}, counted as question {expected}")
                )
            elif number is None and has_numbers:
                one.doubts.append(
                    Doubt(at_ms, f"no number is heard; counted as question {expected}")
                )
            expected += 1
        said.append(one)
        before = None
    return said, [Doubt(None, "all words are a recogniser's: compare each with the recording")]


class _Numbers:
    """Announcements such as "Number 7", told by the words that are said."""

    def __init__(self, spoken_of: SpokenOf) -> None:
        self._words: list[list[str]] = [
            plain(spoken_of(str(n))).split() if n else [] for n in range(_MOST_QUESTIONS + 1)
        ]

    def announced(self, heard: HeardText, expected: int) -> int | None:
        """Return the number that is said first; the expected one where it may be that; else None.

        "Number 635" is number 6 where that is next, and 35 belongs to the question.
        """
        words = plain(" ".join(one.word for one in heard.words)).split()
        if len(words) < 2 or words[0] not in ANNOUNCING:
            return None
        rest = words[1:]
        likely: list[int] = [expected, expected + 1, *range(_MOST_QUESTIONS, 0, -1)]
        for n in likely:
            if n <= _MOST_QUESTIONS and rest[: len(self._words[n])] == self._words[n]:
                return n
        return None

    def is_bare(self, heard: HeardText) -> bool:
        """Return whether nothing but a number is announced."""
        words = plain(" ".join(one.word for one in heard.words)).split()
        return len(words) > 1 and words[0] in ANNOUNCING and words[1:] in self._words


def _by_paper(
    given: GivenSound,
    laid: _Laid,
    units: Sequence[PaperUnit],
    lines: Sequence[SaidLine],
    listener: Listener | None,
    spoken_of: SpokenOf,
) -> tuple[list[Said], list[Doubt]]:
    """Return a draft in the words of the paper, and what of the paper was not found."""
    chains, heard = laid.chains, laid.heard
    _refuse_other_paper(laid.pairs, heard, units)
    pairs, moved = laid.pairs, laid.moved
    announced = {unit.number: line.announced for unit, line in zip(units, lines, strict=True)}
    n_announced = sum(bool(one.heard) and announces(one.heard[0]) for one in chains)
    is_announced = 2 * n_announced > sum(unit.kind == "question" for unit in units)
    said: list[Said] = []
    doubts: list[Doubt] = []
    expected = 1
    for pair in pairs:
        taken = chains[slice(*pair.runs)]
        of_paper = units[slice(*pair.lines)]
        if not taken:
            doubts += _not_found(of_paper, said)
            continue
        one = _said(taken, of_paper)
        if one.is_question:
            one.number = expected
            expected += 1
        one.doubts += _doubts(pair, taken, lines, of_paper, one, heard)
        if of_paper and pair.lines[0] in moved:
            where = f"on the paper it is number {of_paper[0].number}"
            sentence = f"read in another order than on the paper: {where}"
            one.doubts.insert(0, Doubt(one.readings[0].start_ms, sentence))
        if listener is not None and of_paper:
            line = lines[pair.lines[0]]
            if moved:  # it is announced by the number that it has here
                line = replace(line, announced=announced.get(one.number, line.announced))
            again = Again(given, listener, spoken_of)
            one.doubts += (
                heard_doubts(taken, line, again, is_announced=is_announced)
                if one.is_question or len(one.readings) > 1
                else text_doubts(taken, lines[slice(*pair.lines)], again)
            )
        said.append(one)
    return said, doubts


def _said(taken: Sequence[Chain], of_paper: Sequence[PaperUnit]) -> Said:
    is_question = bool(of_paper) and of_paper[0].kind == "question"
    text = " ".join(unit.text for unit in of_paper)
    if (is_question or not of_paper) and len(taken) > 1:  # its announcement is a run of its own
        first, *others = _readings(taken[1])
        whole = _reading([*taken[0].runs, taken[1].runs[0]], first.heard)
        return Said(is_question, text, [whole, *others])
    if is_question or len(taken) == 1:
        return Said(is_question, text, _readings(taken[0]))
    whole = _reading([run for chain in taken for run in chain.runs])
    return Said(is_question, text, [whole])


def _refuse_other_paper(
    pairs: Sequence[Pair], heard: Sequence[HeardRun], units: Sequence[PaperUnit]
) -> None:
    """Raise if most questions are not found, or what is found is quite another thing.

    A paper without questions is judged by its sentences.
    """
    kind = "question" if any(unit.kind == "question" for unit in units) else "text"
    wanted = [i for i, unit in enumerate(units) if unit.kind == kind]
    fit = [pair for pair in pairs if pair.has_run and pair.cost < _UNFIT_COST]
    found = {i for pair in fit for i in range(*pair.lines)}
    n_found = sum(i in found for i in wanted)
    most = max(1, len(heard))
    is_other = n_found < _UNFIT_SHARE * min(len(wanted), most)
    if wanted and (is_other or (kind == "question" and len(wanted) > 2 * most)):
        of = "questions" if kind == "question" else "sentences"
        raise SoundError(
            f"the paper does not seem to belong to the recording: {n_found} of its "
            f"{len(wanted)} {of} {'is' if n_found == 1 else 'are'} found",
            "name the paper with the words that are read in this recording",
        )


def _not_found(of_paper: Sequence[PaperUnit], said: Sequence[Said]) -> list[Doubt]:
    at_ms = said[-1].readings[-1].end_ms if said else 0
    found = []
    for unit in of_paper:
        if unit.kind == "question":
            found.append(Doubt(at_ms, f"question {unit.number} of the paper was not found"))
        elif unit.kind == "text":
            found.append(Doubt(at_ms, f"on the paper, and not found: “{_cut(unit.text)}”"))
    return found


def _cut(text: str) -> str:
    return text if len(text) <= 60 else text[:57].rstrip() + "…"


def _doubts(
    pair: Pair,
    taken: Sequence[Chain],
    lines: Sequence[SaidLine],
    of_paper: Sequence[PaperUnit],
    one: Said,
    heard: Sequence[HeardRun],
) -> list[Doubt]:
    at_ms = one.readings[0].start_ms
    if not of_paper:
        text = " ".join(chain.heard[0].text for chain in taken if chain.heard)
        what = f": “{_cut(text)}”" if text else ""
        return [Doubt(at_ms, f"speech that is not on the paper{what}")]
    found = []
    number = of_paper[0].number
    if one.is_question and number is not None and number != one.number:
        found.append(Doubt(at_ms, f"number {number} on the paper, question {one.number} here"))
    if pair.cost > 4.0:
        found.append(Doubt(at_ms, "its length does not fit its words well: is it this one?"))
    usual = [h.n_readings for h in heard if h.n_readings > 1]
    n = len(one.readings)
    if one.is_question and usual and n != max(set(usual), key=usual.count):
        times = ", ".join(clock(reading.start_ms) for reading in one.readings)
        found.append(Doubt(at_ms, f"{n} reading{'s' if n > 1 else ''} found ({times})"))
    lengths = [run.sound_ms for run in taken[-1].runs]
    line = lines[pair.lines[0]]
    slack = 1.35 + usual_s(line.announced) / max(0.5, usual_s(line.words))
    if one.is_question and max(lengths) > slack * min(lengths):
        found.append(Doubt(at_ms, "its readings differ in length"))
    return found


def _measure(said: Sequence[Said], length_ms: int) -> None:
    """Measure the silences after everything that is said, and give likely values to them."""
    for one, following in pairwise(said):
        one.after_ms = following.readings[0].start_ms - one.readings[-1].end_ms
    if said and said[-1].is_question:
        said[-1].after_ms = length_ms - said[-1].readings[-1].end_ms
    for one in said:
        one.between_ms = [b.start_ms - a.end_ms for a, b in pairwise(one.readings)]
    questions = [one for one in said if one.is_question]
    values = likely_values([one.after_ms for one in questions])
    for one, value in zip(questions, values, strict=True):
        one.after_value_ms = value
        within = one.readings[-1].end_within_ms + 20
        if (
            value is not None
            and one.after_ms is not None
            and abs(value - one.after_ms) > max(250, within)
        ):
            at_ms = one.readings[-1].end_ms
            measured = f"{one.after_ms / 1000:.2f} s ± {within / 1000:.2f} s"
            one.doubts.append(Doubt(at_ms, f"answer time measured as {measured}"))
    _doubt_lengths(questions, is_open=bool(said) and said[-1].is_question)


def _doubt_lengths(questions: Sequence[Said], *, is_open: bool) -> None:
    """Doubt silences that are much shorter or longer than those around them.

    `is_open` says that nothing is said after the last question: what follows it tells nothing.
    """
    closed = questions[:-1] if is_open else questions
    for i, usual_ms in unusual([one.after_value_ms for one in closed]):
        own = (closed[i].after_ms or 0) / 1000
        sentence = f"answer time {own:.1f} s, and {usual_ms / 1000:g} s around it"
        closed[i].doubts.append(Doubt(closed[i].readings[-1].end_ms, sentence))
    rows = [(one, k) for one in questions for k in range(len(one.between_ms))]
    for i, usual_ms in unusual([likely_ms(one.between_ms[k]) for one, k in rows]):
        one, k = rows[i]
        own = one.between_ms[k] / 1000
        sentence = f"{own:.1f} s between readings, and {usual_ms / 1000:g} s around them"
        one.doubts.append(Doubt(one.readings[k].end_ms, sentence))
