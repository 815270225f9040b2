"""Any text at all gives spoken words or a problem with its place: no traceback, no silence."""

from __future__ import annotations

import itertools
from functools import cache
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pausewright.wording.letters import MARKS
from pausewright.wording.plain_lines import LineWorder
from support.amounts import cases

SIGNS = (
    "0123456789.,:;/–−-+×÷=<>≤≥±√°%£$€pmkgsxyabAIVX²³⁴½¾₂ ()[]'\"′″&#@?!…ñ éα\u00a0\u202f٣①\ue000"
)
"""What figures and formulas are made of, more likely together than in random text."""
PIECES = r"""
( ) [ ] | \| \{ \} { } ^ _ \frac \sqrt \sum \int \lim \vec \overline \mod \text \left( \right)
\left[ \right] \left| \right| \left. \right. \langle \lfloor f g P E n x y A B 0 1 23 4.5 , ; :
= < > \le + - \pm \times / ! ' \infty \pi \sin \log \to \cdot & \\ \begin{matrix} \end{matrix}
\begin{cases} \end{cases} \binom \mathbf \mathrm \hat \ne \in \cup \mid \% ^2 _1 {} () [] || \{\}
\circ
"""
"""Pieces of LaTeX, to be put together without sense."""
LANGUAGES = ("en-GB", "en-US", "es-ES", "fr-FR")
LINES = itertools.count(1)


@cache
def line_worder(language: str) -> LineWorder:
    """Return one worder a language: each line has a number of its own, so problems can be told."""
    return LineWorder(Path("-"), language, {})


def look(text: str, language: str) -> None:
    """Word a line and look at what came of it."""
    worder, line = line_worder(language), next(LINES)
    words = worder.spoken(text, line)
    problems = [p for p in worder.problems.all if p.place.line == line]
    errors = [p for p in problems if p.severity == "error"]

    for problem in problems:
        assert 1 <= problem.place.column <= len(text) + 1
        assert problem.message
        assert problem.hint
    assert not MARKS & set(words)
    if any(sign.isalnum() for sign in text) and not errors:
        assert any(sign.isalnum() for sign in words), "silence"
    if language.startswith("en") and not errors:
        assert not any(sign in "0123456789£$€%°" for sign in words)


@pytest.mark.parametrize("language", LANGUAGES)
@given(text=st.text(min_size=1, max_size=60))
@settings(max_examples=cases(80, 2500), deadline=None)
@example(text="𝟗 ½½½ ⅷ Ⅷ ①② ²³ 1⁄2⁄3")
@example(text="1234567890123456789012345678901234567890")
@example(text="((((((((((1")
def test_any_text(language: str, text: str) -> None:
    """Random text from all of Unicode."""
    look(" ".join(text.splitlines()) or "x", language)


@pytest.mark.parametrize("language", LANGUAGES)
@given(text=st.text(alphabet=SIGNS, min_size=1, max_size=40))
@settings(max_examples=cases(150, 5000), deadline=None)
def test_any_figures_and_signs(language: str, text: str) -> None:
    """Random text of the signs that figures, measures and formulas are made of."""
    look(text, language)


@pytest.mark.parametrize("language", LANGUAGES)
@given(pieces=st.lists(st.sampled_from(PIECES.split()), min_size=1, max_size=8))
@settings(max_examples=cases(60, 4000), deadline=None)
@example(pieces=["()"])
@example(pieces=["[", ")"])
@example(pieces=["n", "()"])
@example(pieces=["\\text"])
@example(pieces=["\\left."])
def test_any_formula(language: str, pieces: list[str]) -> None:
    """A formula that makes no sense is said somehow, or told with its place."""
    look(f"What is ${' '.join(pieces)}$ here?", language)
