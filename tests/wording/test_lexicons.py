"""Words with rules of their own: where a rule may stand, which one counts, what is refused."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pausewright.problems import Problems
from pausewright.script.edition import edition
from pausewright.script.reader import read
from pausewright.script.settings.lexicon_files import read_lexicon
from pausewright.wording.lexicon import bundled_lexicons
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problem
    from pausewright.wording.line_elements import Line

HEAD = "---\ntitle: T\nlanguage: en-GB\nanswer-time: 5 s\n"


def worded(folder: Path, settings: str, body: str) -> Worded:
    """Write a script, read and word it; problems are for the test to look at."""
    file = folder / "test.md"
    file.write_text(f"{HEAD}{settings}---\n{body}\n\nThe end.\n", encoding="utf-8")
    return Worded(read(file).script)


def first(found: Worded) -> Line:
    """Return the line of the first paragraph."""
    return found.line(next(b for _, _, b in found.script.blocks()))  # type: ignore[arg-type]


def sentence(found: Worded) -> Utterance:
    """Return the first sentence."""
    element = first(found)[0]
    assert isinstance(element, Utterance)
    return element


def problems(folder: Path, settings: str) -> tuple[Problem, ...]:
    """Return the problems of a script with these settings."""
    file = folder / "test.md"
    file.write_text(f"{HEAD}{settings}---\nThe end.\n", encoding="utf-8")
    return read(file).problems


def test_words_of_the_settings(tmp_path: Path) -> None:
    """A document-level rule says a word everywhere, with a caption of its own if it wants one."""
    found = worded(
        tmp_path,
        "words:\n  Ossel: oss-el\n  mg/l: parts in a million\n"
        "  Quay: {say: key, shown: the Quay}\n",
        "At Ossel Quay it is 3 mg/l. Ossels are not meant.",
    )

    assert [p.message for p in found.problems.errors] == []
    assert sentence(found).words == "At oss-el key it is three parts in a million."
    assert sentence(found).shown == "At Ossel the Quay it is 3 mg/l."
    assert isinstance(first(found)[1], Utterance)
    assert first(found)[1].words == "Ossels are not meant."  # type: ignore[union-attr]


def test_small_letters_stand_for_capitals_too_and_not_the_reverse(tmp_path: Path) -> None:
    """`quay` says Quay as well; `Polish` leaves polish alone."""
    found = worded(
        tmp_path, "words:\n  quay: key\n  Polish: POH-lish\n", "Quay and quay, Polish and polish."
    )

    assert sentence(found).words == "key and key, POH-lish and polish."


def test_a_say_span_counts_before_every_rule(tmp_path: Path) -> None:
    """What the author says at the place itself is never changed again."""
    found = worded(tmp_path, "words:\n  quay: key\n", 'The [quay]{say="quay"} and the quay.')

    assert sentence(found).words == "The quay and the key."


def test_a_centres_file_is_read_and_the_settings_count_before_it(tmp_path: Path) -> None:
    """The file lies beside the script; sounds carry their word."""
    (tmp_path / "centre.lexicon.yaml").write_text(
        "language: en\nwords:\n  quay: kay\n  Ceilidh: {ipa: ˈkeɪli}\n", encoding="utf-8"
    )
    found = worded(
        tmp_path, "lexicon: centre.lexicon.yaml\nwords:\n  quay: key\n", "A Ceilidh by the quay."
    )

    assert sentence(found).words == "A Ceilidh by the key."
    assert [(p.text, p.word) for p in sentence(found).spoken if p.is_ipa] == [("ˈkeɪli", "Ceilidh")]


def test_a_rule_for_one_voice_or_another_language_touches_no_other(tmp_path: Path) -> None:
    """`voices` and `language` say whom a rule is for; en is for en-GB, en-US is not."""
    settings = (
        "words:\n  quay: {say: key, voices: iris}\n  lough: {say: lock, language: en-US}\n"
        "  ceilidh: {say: kay-lee, language: en}\n"
    )
    found = worded(tmp_path, settings, 'The quay, the lough, the ceilidh. {voice="joe"}')
    other = worded(tmp_path, settings, 'The quay, the lough. {voice="iris"}')

    assert sentence(found).words == "The quay, the lough, the kay-lee."
    assert sentence(other).words == "The key, the lough."


def test_a_rule_is_part_of_the_edition(tmp_path: Path) -> None:
    """Another rule, in the settings or in the file, is another edition; its place is not."""
    file = tmp_path / "centre.lexicon.yaml"
    marks = []
    for text in ("words:\n  quay: key\n", "\nwords:\n  quay: key\n", "words:\n  quay: kay\n"):
        file.write_text(text, encoding="utf-8")
        marks.append(edition(worded(tmp_path, "lexicon: centre.lexicon.yaml\n", "Quay.").script))
    marks.append(edition(worded(tmp_path, "words:\n  quay: key\n", "Quay.").script))

    assert marks[0] == marks[1]
    assert len(set(marks)) == 3


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ("words:\n  quay: ''\n", "‘quay’ is empty"),
        ("words:\n  quay: 'k{e}y'\n", "‘{’ stands in ‘k{e}y’"),
        ("words:\n  quay: {said: key}\n", "‘said’ is not known in an entry of a lexicon"),
        ("words:\n  quay: {say: key, ipa: kiː}\n", "‘quay’ has both say and ipa"),
        ("words:\n  quay: {voices: joe}\n", "‘quay’ has no say, ipa or shown"),
        ("words:\n  '...': dots\n", "‘...’ is no word that a script can hold"),
        ("words:\n  quay: key\n  quay: kay\n", "‘quay’ is given twice"),
        ("words: key\n", "a list of ‘name: value’ is expected here"),
        ("lexicon: missing.lexicon.yaml\n", "the lexicon ‘missing.lexicon.yaml’ is not there"),
        ("lexicon: ../x.lexicon.yaml\n", "the lexicon ‘x.lexicon.yaml’ lies outside the folder"),
        ("wording:\n  tiems: quarter-past\n", "‘tiems’ is not a way of reading that can be chosen"),
        ("wording:\n  times: half-past\n", "‘half-past’ is not known for times"),
    ],
)
def test_what_is_wrong_in_the_settings_is_an_error_with_its_place(
    tmp_path: Path, settings: str, message: str
) -> None:
    """Each fault is one error on its own line, with something to type."""
    found = problems(tmp_path, settings)

    assert [p.message for p in found] == [message]
    assert all(p.hint and p.place.line >= 5 and p.severity == "error" for p in found)


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("language: english!\n", 1, "‘english!’ is not a language tag"),
        ("wards:\n  a: b\n", 1, "‘wards’ is not known in a lexicon"),
        ("words:\n  quay: [key]\n", 2, "‘quay’ takes one value"),
        ("heteronyms:\n  bow: {readings: {boh: bˈoʊ}}\n", 2, "‘bow’ needs two readings"),
        (
            "heteronyms:\n  bow:\n    readings: {boh: bˈoʊ, bough: bˈaʊ}\n    usual: bo\n", 2,
            "‘bo’ is not known in the readings of ‘bow’",
        ),
        (
            "heteronyms:\n  bow:\n    reading: {boh: bˈoʊ}\n", 3,
            "‘reading’ is not known in a heteronym",
        ),
        ("words: *x\n", 1, "this cannot be read"),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_lexicon_file_has_its_place_there(
    tmp_path: Path, text: str, line: int, message: str
) -> None:
    """Problems name the lexicon file and the line in it."""
    found = Problems()
    file = tmp_path / "centre.lexicon.yaml"
    read_lexicon(file, text, found)

    assert found.errors
    assert found.errors[0].place.file == file
    assert found.errors[0].place.line == line
    if not text.startswith("words: *"):
        assert found.errors[0].message == message


def test_the_bundled_lexicons_are_in_order() -> None:
    """They can be read, and every heteronym names two readings that differ."""
    (english,) = bundled_lexicons()

    assert len(english.heteronyms) >= 10
    assert len(english.entries) >= 3
    for heteronym in english.heteronyms:
        assert len({sounds for _, sounds in heteronym.readings}) == 2
        assert heteronym.usual


HETERONYMS = {
    "Read questions 1 to 6.": ("ɹˈiːd", False),
    "Now read the text.": ("ɹˈiːd", False),
    "Each text is read again.": ("ɹˈɛd", False),
    "He read it.": ("ɹˈɛd", False),
    "You read it.": ("ɹˈiːd", True),
    "A lead pipe.": ("lˈɛd", False),
    "They lead the way.": ("lˈiːd", False),
    "The lead was heavy.": ("lˈiːd", True),
    "The wind blew.": ("wˈɪnd", False),
    "Please wind up the clock.": ("wˈaɪnd", False),
    "They live in a tower.": ("lˈɪv", False),
    "A live concert.": ("lˈaɪv", False),
    "The third row.": ("ɹˈoʊ", False),
}


@pytest.mark.parametrize("text", HETERONYMS)
def test_words_with_two_readings(tmp_path: Path, text: str) -> None:
    """Neighbours tell the reading; where they do not, the usual one is taken with a warning."""
    found = worded(tmp_path, "", text)
    sounds, is_doubted = HETERONYMS[text]

    assert [p.text for p in sentence(found).spoken if p.is_ipa] == [sounds]
    warned = [p for p in found.problems.all if p.code == "wording-ambiguous"]
    assert bool(warned) == is_doubted
    if warned:
        assert "{say=" in warned[0].hint
    assert sentence(found).words == text.replace("1", "one").replace("6", "six")
