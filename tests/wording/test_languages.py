"""A language is a file: what it holds has words, what it does not hold is refused."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest
from babel import Locale
from babel.units import format_unit
from num2words import num2words
from pausewright.script.wording_styles import STYLES
from pausewright.wording.language import language_for
from pausewright.wording.numbers import whole_words
from pausewright.wording.plain_lines import LineWorder

OTHERS = ("cy", "de", "es", "fr")

SAID = {
    ("es-ES", "El 5 de marzo de 2026."): "El cinco de marzo de dos mil veintiséis.",
    ("es-ES", "El 2.º premio y la 3.ª."): "El segundo premio y la tercera.",
    ("es-ES", "Son 5 km, o 1 min."): "Son cinco kilómetros, o un minuto.",
    ("es-ES", "A las 15:30."): "A las quince y treinta.",
    ("fr-FR", "Le 1er mars 2026 à 15 h 30."): (
        "Le premier mars deux mille vingt-six à quinze heures trente."
    ),
    ("fr-FR", "La 2e fois, 71 élèves."): "La deuxième fois, soixante et onze élèves.",
    ("fr-FR", "Cela coûte 2,50 €."): "Cela coûte deux euros cinquante.",
    ("fr-FR", "1 min, 2,5 kg, 3/4"): "une minute, deux virgule cinq kilogrammes, trois quarts",
    ("de-DE", "Am 5. März 2026."): "Am fünften März zweitausendsechsundzwanzig.",
    ("de-DE", "um 15.30 Uhr"): "um fünfzehn Uhr dreißig",
    ("de-DE", "20 % von 1 km"): "zwanzig Prozent von ein Kilometer",
    ("cy-GB", "Mae 21 yma."): "Mae dau ddeg un yma.",
    ("cy-GB", "123 + 7 = 130"): "cant dau ddeg tri adio saith yn hafal i cant tri deg",
    ("cy-GB", "20%"): "dau ddeg y cant",
    ("cy-GB", "5 Mawrth 2026"): "pumed o Fawrth dwy fil dau ddeg chwech",
}
"""Written and said, by hand from grammars; unread by a speaker, as the files say."""


@pytest.mark.parametrize(("case", "words"), SAID.items())
def test_what_other_languages_say(case: tuple[str, str], words: str) -> None:
    """Numbers, ordinals, dates, times, money and units, without an English word."""
    worder = LineWorder(Path("-"), case[0], {})

    assert worder.spoken(case[1]).replace("'", "’") == words.replace("'", "’")
    assert worder.problems.errors == ()


@pytest.mark.parametrize("tag", OTHERS)
def test_months_are_those_of_cldr(tag: str) -> None:
    """CLDR's wide names, through babel, in the language's own order."""
    language = language_for(tag)
    assert language is not None

    wide = Locale(tag).months["format"]["wide"]

    assert language.table("dates")["months"] == [wide[n] for n in range(1, 13)]


UNITS = {
    "m": "length-meter", "km": "length-kilometer", "cm": "length-centimeter",
    "mm": "length-millimeter", "kg": "mass-kilogram", "g": "mass-gram", "l": "volume-liter",
    "ml": "volume-milliliter", "s": "duration-second", "min": "duration-minute",
}  # fmt: skip
"""Our symbols and CLDR's names of units."""


@pytest.mark.parametrize("tag", ["de", "es", "fr"])
def test_units_are_those_of_cldr(tag: str) -> None:
    """The long names of units for one and for several, through babel."""
    language = language_for(tag)
    assert language is not None

    for symbol, name in UNITS.items():
        unit = language.units[symbol]
        one = format_unit(1, name, "long", locale=tag).partition("1")[2].strip("\u00a0 ")
        many = format_unit(5, name, "long", locale=tag).partition("5")[2].strip("\u00a0 ")
        assert (unit.one, unit.many) == (one, many), symbol


@pytest.mark.parametrize("tag", ["de", "es", "fr"])
def test_whole_numbers_are_those_of_the_library(tag: str) -> None:
    """num2words, its commas apart."""
    worder = LineWorder(Path("-"), tag, {})
    for number in (0, 1, 16, 21, 71, 80, 99, 100, 101, 200, 1000, 1984, 123456, 1000000):
        assert worder.spoken(str(number)) == num2words(number, lang=tag).replace(",", "")


def test_welsh_counts_in_tens_without_a_gap() -> None:
    """Every number to a thousand has words of its own; tens as schools in Wales count."""
    language = language_for("cy")
    assert language is not None

    words = [whole_words(number, language) for number in range(1000)]

    assert len(set(words)) == 1000
    assert words[11] == "un deg un"
    assert words[99] == "naw deg naw"


@pytest.mark.parametrize("tag", OTHERS)
def test_built_in_sentences_hold_no_english(tag: str) -> None:
    """Each file has sentences of its own, with their fields."""
    language, english = language_for(tag), language_for("en")
    assert language is not None
    assert english is not None
    for name in ("continues", "time-cue", "withdrawn", "practice", "answer"):
        own = language.sentence(name)
        assert own
        assert own != english.sentence(name)
        for field in ("{number}", "{answer}"):
            assert (field in own) == (field in english.sentence(name))


def known_languages() -> tuple[str, ...]:
    """Return the languages that have a file."""
    folder = resources.files("pausewright.wording.languages")
    names = sorted(one.name for one in folder.iterdir())
    return tuple(
        name.removesuffix(".toml")
        for name in names
        if name.endswith(".toml") and not name.endswith(".cues.toml")
    )


def test_every_file_names_itself_and_chooses_every_style() -> None:
    """Tag, review and a usual value for each way of reading, one of the known values."""
    assert known_languages() == ("cy", "de", "en", "es", "fr")
    for tag in known_languages():
        language = language_for(tag)
        assert language is not None
        assert language.tag == tag
        assert set(language.table("styles")) - {"zero"} == set(STYLES)
        for name, style in STYLES.items():
            assert language.style(name) in style.choices


def test_only_english_rests_on_published_tables() -> None:
    """The others are marked as unread by a speaker, in the file and in its head."""
    found = {tag: language_for(tag).needs_review for tag in known_languages()}  # type: ignore[union-attr]
    folder = resources.files("pausewright.wording.languages")

    assert found == {"cy": True, "de": True, "en": False, "es": True, "fr": True}
    for tag in OTHERS:
        text = folder.joinpath(f"{tag}.toml").read_text(encoding="utf-8")
        assert "NOT reviewed by a speaker" in text.partition("tag =")[0]


@pytest.mark.parametrize("tag", ["it", "ga-IE", "en.cues", "../en", "en.toml", "", "zh-Hant-TW"])
def test_a_language_without_a_file_is_none(tag: str) -> None:
    """No file, no words; a tag never leads out of the folder."""
    assert language_for(tag) is None


@pytest.mark.parametrize("written", ["3/7", "x² + 1", "5/3/2026", "3 m²"])
def test_what_the_spanish_file_lacks_is_refused(written: str) -> None:
    """Other fractions, powers, dates in figures and formulas have no words there: no guess."""
    worder = LineWorder(Path("-"), "es-ES", {})
    worder.spoken(written)

    assert worder.problems.errors
    assert {p.code for p in worder.problems.errors} == {"wording-none"}


def test_a_language_with_a_file_of_numbers_alone_reads_numbers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Adding a language is adding a file: no line of code knows its name."""
    (tmp_path / "it.toml").write_text(
        'tag = "it"\nname = "Italian"\nneeds_review = true\n'
        '[words]\npoint = "virgola"\nminus = "meno"\nnegative = "meno"\n'
        '[numbers]\nlibrary = "it"\nand = true\ndecimal_sign = ","\ngroup_sign = "."\n'
        'digits = ["zero", "uno", "due", "tre", "quattro", "cinque", "sei", "sette", "otto", '
        '"nove"]\n[styles]\nnegative = "minus"\nzero-after-point = "zero"\n'
        '[signs]\n"+" = "più"\n"−" = "meno"\n',
        encoding="utf-8",
    )
    monkeypatch.setattr("pausewright.wording.language.package_folder", lambda _: tmp_path)
    language_for.cache_clear()
    try:
        worder = LineWorder(Path("-"), "it-IT", {})
        assert worder.spoken("Ho 21 libri, 2,5 chili e −3.") == (
            "Ho ventuno libri, due virgola cinque chili e meno tre."
        )
        assert worder.spoken("3 + 4") == "tre più quattro"
        worder.spoken("Sono 5 kg o 3/4.")
        assert worder.problems.errors
    finally:
        monkeypatch.undo()
        language_for.cache_clear()
