"""One utterance judged: what the script says against what was heard, until it is settled.

An utterance is heard in one manner; where something that matters differs, in two more. If any
hearing agrees, it is right. Else the recogniser is asked how likely its own words and the
script's are, given the sound; the thresholds on that were measured (docs/the-check.md).
"""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.checker.ear.compare import Comparison, compare
from pausewright.checker.ear.recogniser import MANNERS
from pausewright.checker.ear.spoken import ANYTHING, Slot, numbers_in, plain_words, spoken
from pausewright.checker.ear.vocabulary import kind_of
from pausewright.checker.limits.heard import (
    ALIKE,
    AS_LIKELY,
    ELSEWHERE,
    ELSEWHERE_BY,
    FAR_LIKELIER,
    LOST_RUN_SHARE,
    LOST_RUN_WORDS,
    SHORT_ALIKE,
    TEEN_AS_LIKELY,
    UNLIKE,
)
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.checker.ear.compare import Step
    from pausewright.checker.ear.recogniser import Clip, Recogniser
    from pausewright.checker.ear.spoken import Spoken

Verdict: TypeAlias = Literal["same", "doubtful", "other"]
Matter: TypeAlias = Literal[
    "", "number", "order", "negation", "unit", "comparison", "words", "elsewhere"
]

_ANNOUNCING: Final = ("number", "question", "item")
_SMALL: Final = frozenset(
    {"a", "an", "the", "and", "of", "to", "in", "on", "at", "is", "are", "was", "were", "it"}
)
"""Words whose loss nobody would call a difference; they are not told among those not compared."""


@frozen
class Opinion:
    """What the ear makes of one utterance."""

    verdict: Verdict
    matter: Matter
    """What differs most gravely; "" for nothing."""
    heard: str
    """As the recogniser wrote it, in the manner that agrees best."""
    likeness: float
    """Of the words, 0 to 1."""
    likelier: float | None = None
    """By how much the heard words are likelier than the script's (logarithm); None if they agree
    or were not weighed."""
    elsewhere: int | None = None
    """Index of the utterance of the script that is heard in its place."""
    uncompared: tuple[str, ...] = ()
    """Words of the script that were not heard as such and are yet no reason for doubt: names,
    letters, sounds given by signs; "…" for words that nothing is known of."""


@frozen
class Saying:
    """What the script says in one utterance, ready to be compared."""

    text: str
    form: Spoken
    is_only_doubted: bool = False
    """Whether a difference is never more than a reason to listen: letters, verse."""
    is_shortened: bool = False
    """Whether it is on the short side for its words: then each word that is missed counts."""
    number: str = ""
    """That of a question in a recording, which may be said before the words, or not."""

    @property
    def words(self) -> tuple[str, ...]:
        """Its words in their plainest reading."""
        return plain_words(self.form)

    @property
    def is_short(self) -> bool:
        """Whether it is too short, or too much spelled out, to be heard well."""
        words = self.words
        n_letters = sum(kind_of(word) == "letter" for word in words)
        return len(words) <= 2 or 2 * n_letters >= len(words)


def saying(
    text: str, *, number: str = "", is_only_doubted: bool = False, is_shortened: bool = False
) -> Saying:
    """Return words for the voice, ready to be compared.

    `number` is that of a question in a recording: its reader may announce it, or not.
    """
    form = spoken(text, is_heard=False)
    if number:
        row = plain_words(spoken(number, is_heard=False))
        announced = tuple((word, *row) for word in _ANNOUNCING)
        if not any(plain_words(form)[: len(one)] == one for one in announced):
            form = (Slot(((), *announced)), *form)
    return Saying(text, form, is_only_doubted, is_shortened, number)


def opinions(
    sayings: Sequence[Saying],
    clips: Sequence[Clip],
    recogniser: Recogniser,
    others: Sequence[Saying] = (),
    told: Callable[[int], None] | None = None,
) -> list[Opinion]:
    """Return what is made of each utterance.

    Parameters
    ----------
    sayings : what the script says, one for each clip
    clips : what is heard, at the recogniser's rate
    recogniser : writes down what it hears
    others : all utterances of the script, for what is heard in the place of another
    told : called with how many utterances were heard for the first time
    """
    hearings: list[list[tuple[str, Comparison]]] = [[] for _ in sayings]
    unsettled = list(range(len(sayings)))
    for manner in MANNERS:
        texts = recogniser.heard([clips[i] for i in unsettled], manner)
        for i, text in zip(unsettled, texts, strict=True):
            hearings[i].append((text, compare(sayings[i].form, spoken(text, is_heard=True))))
        if manner == MANNERS[0] and told is not None:
            told(len(sayings))
        unsettled = [i for i in unsettled if not _settled(sayings[i], *hearings[i][-1])]
        if not unsettled:
            break
    return [
        _opinion(one, clip, hearing, recogniser, others)
        for one, clip, hearing in zip(sayings, clips, hearings, strict=True)
    ]


def _settled(said: Saying, _text: str, comparison: Comparison) -> bool:
    is_alike = comparison.likeness >= _least(said)
    return is_alike and not differences(comparison) and not words_lost(said, comparison)


def words_lost(said: Saying, comparison: Comparison) -> bool:
    """Return whether words of the script in a row are not heard at all: two, or a good share.

    Small words count where they are a third of all.
    Of an utterance that is on the short side any word that is not heard as it is written.
    """
    if said.is_shortened and any(
        step.said and not step.is_same and step.said not in _SMALL for step in comparison.steps
    ):
        return True
    n_all = sum(bool(step.said) for step in comparison.steps)
    run: list[str] = []
    for word, heard in [*((step.said, step.heard) for step in comparison.steps), ("", "")]:
        if word and not heard:
            run.append(word)
            continue
        is_many = len(run) >= LOST_RUN_WORDS or len(run) >= LOST_RUN_SHARE * n_all
        if is_many and (not _SMALL.issuperset(run) or 3 * len(run) >= n_all):
            return True
        run = []
    return False


def _least(said: Saying) -> float:
    return SHORT_ALIKE if said.is_short else ALIKE


def differences(comparison: Comparison) -> list[Step]:
    """Return where something that matters differs."""
    return [step for step in comparison.steps if not step.is_same and _matters(step)]


def _matters(step: Step) -> bool:
    if step.kind == "comparison":
        return kind_of(step.said) == kind_of(step.heard)
    return step.kind in {"figure", "negation", "unit"}


def _opinion(
    said: Saying,
    clip: Clip,
    hearings: Sequence[tuple[str, Comparison]],
    recogniser: Recogniser,
    others: Sequence[Saying],
) -> Opinion:
    text, best = min(
        hearings,
        key=lambda one: (len(differences(one[1])), words_lost(said, one[1]), -one[1].likeness),
    )
    found = differences(best)
    are_lost = all(words_lost(said, comparison) for _, comparison in hearings)
    if are_lost and not found:
        return Opinion("doubtful", "words", text, best.likeness)
    if not found and best.likeness >= _least(said):
        return Opinion("same", "", text, best.likeness, uncompared=_uncompared(said, best))
    elsewhere = _elsewhere(said, best.likeness, text, others)
    if elsewhere is not None:
        verdict: Verdict = "doubtful" if said.is_short or said.is_only_doubted else "other"
        return Opinion(verdict, "elsewhere", text, best.likeness, elsewhere=elsewhere)
    if not found:
        return Opinion("doubtful", "words", text, best.likeness)
    if any(not differences(comparison) for _, comparison in hearings):
        return Opinion("doubtful", "words", text, best.likeness)
    weighed = _weighed(clip, best, recogniser)
    likelier = max(share for _, share in weighed)
    found = [step for run, share in weighed if share >= _as_likely(run) for step in run]
    found = found or _negations_in_all(hearings)
    if not found and are_lost:  # what was weighed is right, and words beside it are missing
        return Opinion("doubtful", "words", text, best.likeness, likelier)
    if not found:
        left = _uncompared(said, best)
        return Opinion("same", "", text, best.likeness, likelier, uncompared=left)
    matter = _matter(found)
    is_sure = (
        likelier >= FAR_LIKELIER
        and not all(_is_teen_for_ten(step) for step in found)
        and not said.is_short
        and not said.is_only_doubted
        and _share_of_rest(best) >= ALIKE
        and _is_in_all(found, hearings)
        and _is_well_formed(said, text, found)
    )
    return Opinion("other" if is_sure else "doubtful", matter, text, best.likeness, likelier)


def _uncompared(said: Saying, comparison: Comparison) -> tuple[str, ...]:
    """Return the words of the script that were heard as others, small words apart."""
    unknown = ["…" for slot in said.form if slot.readings == ((ANYTHING,),)]
    other = [
        _as_written(step.said_as or step.said, said.text)
        for step in comparison.steps
        if step.said and not step.is_same and step.said not in _SMALL
    ]
    return (*unknown, *other)


def _as_written(word: str, text: str) -> str:
    """Return a word with the capitals that it has in a text."""
    found = re.search(rf"\b{re.escape(word)}\b", text, re.IGNORECASE)
    return found[0] if found else word


def _matter(found: Sequence[Step]) -> Matter:
    """Return what the gravest difference is about."""
    kinds = {step.kind for step in found}
    if kinds == {"figure"}:
        said = Counter(step.said for step in found)
        return "order" if said == Counter(step.heard for step in found) else "number"
    for kind, matter in _MATTERS.items():
        if kind in kinds:
            return matter
    return "words"


_MATTERS: Final[dict[str, Matter]] = {
    "figure": "number",
    "negation": "negation",
    "unit": "unit",
    "comparison": "comparison",
}


def _as_likely(run: Sequence[Step]) -> float:
    return TEEN_AS_LIKELY if all(_is_teen_for_ten(step) for step in run) else AS_LIKELY


def _negations_in_all(hearings: Sequence[tuple[str, Comparison]]) -> list[Step]:
    """Return a negation that every hearing lacks, or has too much: never passed over.

    Neither ever came of a good track.
    """
    rows = [
        [step for step in differences(comparison) if step.kind == "negation"]
        for _, comparison in hearings
    ]
    shared = set.intersection(*({(step.said, step.heard) for step in row} for row in rows))
    return [step for step in rows[0] if (step.said, step.heard) in shared]


def _is_in_all(found: Sequence[Step], hearings: Sequence[tuple[str, Comparison]]) -> bool:
    """Return whether every hearing has one difference in common, or all hear the same numbers."""
    shared = {(step.slot, step.said, step.heard) for step in found}
    for _, comparison in hearings:
        shared &= {(step.slot, step.said, step.heard) for step in differences(comparison)}
    is_figure = all(step.kind == "figure" for step in found)
    return bool(shared) or (is_figure and len({numbers_in(text) for text, _ in hearings}) == 1)


def _is_well_formed(said: Saying, text: str, found: Sequence[Step]) -> bool:
    """Return whether what differs is other words that matter, and not a muddle of them.

    Where figures differ, as many numbers must be heard as are said: "six to four" for "sixty
    four" is a muddle.
    """
    if any(step.kind == "figure" for step in found):
        n_heard, n_said = len(numbers_in(text)), len(numbers_in(said.text))
        return n_heard in {n_said, n_said + len(numbers_in(said.number))}
    return any(not step.said or not step.heard or _both_matter(step) for step in found) or any(
        step.kind == "negation" for step in found
    )


def _share_of_rest(comparison: Comparison) -> float:
    """Return which share of the words beside the differences are the same."""
    rest = [step for step in comparison.steps if step.is_same or not _matters(step)]
    return sum(step.is_same for step in rest) / len(rest) if rest else 0.0


def _is_teen_for_ten(step: Step) -> bool:
    """Return whether it is thirteen for thirty or the like, which no ear tells apart for sure."""
    pair = {step.said, step.heard}
    return any(word.endswith("teen") and word[:-4] + "ty" in pair for word in pair) or pair in (
        {"thirteen", "thirty"},
        {"fourteen", "forty"},
        {"fifteen", "fifty"},
        {"eighteen", "eighty"},
    )


def _both_matter(step: Step) -> bool:
    return "plain" not in {kind_of(step.said), kind_of(step.heard)}


def _weighed(
    clip: Clip, comparison: Comparison, recogniser: Recogniser
) -> list[tuple[list[Step], float]]:
    """Return each difference, and by how much its heard words are likelier than the script's.

    The mean of two pairs of texts that differ in nothing else: all other words as heard, and all
    other words as in the script.
    """
    runs = _runs(comparison.steps)
    texts = [text for run in runs for text in pairs_of_texts(comparison.steps, run)]
    shares = recogniser.likelihoods(clip, texts)
    found = []
    for at, run in enumerate(runs):
        heard, mended, changed, said = shares[4 * at : 4 * at + 4]
        steps = [comparison.steps[i] for i in run]
        found.append(
            (
                [step for step in steps if not step.is_same and _matters(step)],
                (heard - mended + changed - said) / 2,
            )
        )
    return found


def _runs(steps: Sequence[Step]) -> list[list[int]]:
    """Return the differences that matter, as runs of steps that are of one kind.

    Beside a difference that matters, words too much or missing are part of it.
    """
    runs: list[list[int]] = []
    kind = ""
    for i, step in enumerate(steps):
        is_bad = not step.is_same and _matters(step)
        is_beside = bool(runs) and runs[-1][-1] == i - 1
        if is_beside and (_is_one_sided(step) if not is_bad else step.kind == kind):
            runs[-1].append(i)
        elif is_bad:
            takes_before = i and not is_beside and _is_one_sided(steps[i - 1])
            runs.append([i - 1, i] if takes_before else [i])
            kind = step.kind
    return runs


def _is_one_sided(step: Step) -> bool:
    return not (step.said and step.heard)


def pairs_of_texts(steps: Sequence[Step], run: Sequence[int]) -> tuple[str, str, str, str]:
    """Return what was heard, the same with the script's words in one run, and the reverse.

    The third is the script's text with the heard words in the run, the fourth the script's text.
    """
    inside = frozenset(run)
    rows = (
        [step.heard_as for step in steps],
        [step.said_as if i in inside else step.heard_as for i, step in enumerate(steps)],
        [step.heard_as if i in inside else step.said_as for i, step in enumerate(steps)],
        [step.said_as for step in steps],
    )
    heard, mended, changed, said = (" ".join(filter(None, row)) for row in rows)
    return heard, mended, changed, said


def _elsewhere(said: Saying, likeness: float, text: str, others: Sequence[Saying]) -> int | None:
    """Return which other utterance of the script is heard, if one fits far better."""
    heard = spoken(text, is_heard=True)
    words = Counter(plain_words(heard))
    n_words = sum(words.values())
    best: tuple[float, int] | None = None
    for i, other in enumerate(others):
        theirs = Counter(other.words)
        shared = sum((words & theirs).values())
        if other.words == said.words or 2 * shared < max(n_words, sum(theirs.values())):
            continue
        comparison = compare(other.form, heard)
        is_right = not differences(comparison)
        least = max(ELSEWHERE, likeness + ELSEWHERE_BY) if is_right else ALIKE
        if not is_right and likeness > UNLIKE:
            continue
        if comparison.likeness >= least and (best is None or comparison.likeness > best[0]):
            best = comparison.likeness, i
    return None if best is None else best[1]
