"""What schools write in several ways: one row for each kind, and for what stands near to it.

Common practice of readers, no source, but for the symbols of units (SI Brochure, BIPM) and the
emergency number (European and British operators print it figure by figure).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from pausewright.wording.plain_lines import LineWorder

READ = (
    ("The (n + 1)th term", "The n plus first term"),
    ("the (2n − 1)th term", "the two n minus first term"),
    ("Given u_{n+1} = 3", "Given u sub n plus one equals three"),
    ("Find √(49).", "Find the square root of forty-nine."),
    (
        "Find √(49 + x).",
        "Find the square root of open bracket forty-nine plus x close bracket.",
    ),
    ("AÔB = 40°", "angle A O B equals forty degrees"),
    ("Find AB̂C.", "Find angle A B C."),
    ("Write (2a)/(3b) so.", "Write two a over three b so."),
    ("Work out 3.5/0.7.", "Work out three point five over nought point seven."),
    ("Find 16^(3/4).", "Find sixteen to the power of three quarters."),
    ("It costs £(x − 4).", "It costs open bracket x minus four close bracket pounds."),
    ("Which vowel is missing from b_ttle?", "Which vowel is missing from B, blank, T, T, L, E?"),
    ("The value v_max is missing.", "The value v sub max is missing."),
    ("Write it as a %.", "Write it as a percentage."),
    ("Closed 23 Dec – 2 Jan.", "Closed the twenty-third of December to the second of January"),
    ("Dial 999.", "Dial nine nine nine."),
    ("Bake for twelve min. or so.", "Bake for twelve minutes or so."),
    ("The min. is five.", "The minimum is five."),
    ("It holds 20 cm3.", "It holds twenty cubic centimetres."),
    ("It holds 5 ℓ.", "It holds five litres."),
    ("Find its area in sq ft.", "Find its area in square feet."),
    ("Add the binary numbers 101 and 11.", "Add the binary numbers one oh one and one one."),
    ("Write 11 in binary.", "Write eleven in binary."),
    ("Match each word (1–5) now.", "Match each word (one to five) now."),
    ("They won the match (5–1).", "They won the match (five one)."),
    ("Mrs is short for a word.", "M R S is short for a word."),
    ("She stands for the council.", "She stands for the council."),
    ("Meet on 03/04.", "Meet on the third of April."),
    ("The sonata begins in 6/8.", "The sonata begins in six eight."),
    ("The file is 10MB.", "The file is ten megabytes."),
    ("Write two 0s.", "Write two noughts."),
    ("How many g in 3 kg?", "How many grams in three kilograms?"),
    ("Revise pp 30-36.", "Revise pages thirty to thirty-six."),
    ("See Example 2-3 now.", "See Example two three now."),
    ("Is the empty set ∅ in it?", "Is the empty set in it?"),
    ("a 10-Ω resistor", "a ten ohm resistor"),
    ("f(x) → ∞ as x → 0", "f of x tends to infinity as x tends to nought"),
)


@pytest.mark.parametrize(("written", "spoken"), READ, ids=[row[0] for row in READ])
def test_a_kind_of_writing(written: str, spoken: str) -> None:
    """The words are those of a careful British reader; letters may be marked for the voice."""
    worder = LineWorder(Path("line.txt"), "en-GB", {})

    assert worder.spoken(written).lower() == spoken.lower()
    assert worder.problems.all == ()
