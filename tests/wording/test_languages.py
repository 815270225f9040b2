"""A language is a file: what it holds has words, what it does not hold is refused."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest
from pausewright.script.wording_styles import STYLES
from pausewright.wording.language import language_for
from pausewright.wording.plain_lines import LineWorder


def known_languages() -> tuple[str, ...]:
    """Return the languages that have a file."""
    folder = resources.files("pausewright.wording.languages")
    names = sorted(one.name for one in folder.iterdir())
    return tuple(name.removesuffix(".toml") for name in names if name.endswith(".toml"))


def test_every_file_names_itself_and_chooses_every_style() -> None:
    """Tag, review and a usual value for each way of reading, one of the known values."""
    assert known_languages() == ("en", "es")
    for tag in known_languages():
        language = language_for(tag)
        assert language is not None
        assert language.tag == tag
        assert set(language.table("styles")) - {"zero"} == set(STYLES)
        for name, style in STYLES.items():
            assert language.style(name) in style.choices


def test_only_english_rests_on_published_tables() -> None:
    """Spanish is marked as unread by a speaker, in the file and in its head."""
    found = {tag: language_for(tag).needs_review for tag in known_languages()}  # type: ignore[union-attr]
    file = resources.files("pausewright.wording.languages").joinpath("es.toml")

    assert found == {"en": False, "es": True}
    assert "NOT reviewed by a speaker" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize("tag", ["fr", "cy-GB", "../en", "en.toml", "", "zh-Hant-TW"])
def test_a_language_without_a_file_is_none(tag: str) -> None:
    """No file, no words; a tag never leads out of the folder."""
    assert language_for(tag) is None


@pytest.mark.parametrize("written", ["3/4", "5°", "x² + 1", "5 de marzo de 2026 a 5/3/2026"])
def test_what_the_spanish_file_lacks_is_refused(written: str) -> None:
    """Fractions, angles, powers and dates have no words there yet: an error, no guess."""
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
