"""Which words matter in a test, and which are one word to the ear: tables.

Common practice of English spelling and abbreviation, no source, except where stated.
"""

from __future__ import annotations

from typing import Final, Literal, TypeAlias

from pausewright.checker.ear.numerals import NUMERALS, ORDINALS

Kind: TypeAlias = Literal["figure", "negation", "unit", "comparison", "letter", "plain"]

UNITS: Final = {
    "metre": ("metres", "meter", "meters", "m"),
    "centimetre": ("centimetres", "centimeter", "centimeters", "cm", "cms"),
    "millimetre": ("millimetres", "millimeter", "millimeters", "mm"),
    "kilometre": ("kilometres", "kilometer", "kilometers", "km", "kms"),
    "litre": ("litres", "liter", "liters", "l"),
    "millilitre": ("millilitres", "milliliter", "milliliters", "ml"),
    "centilitre": ("centilitres", "centiliter", "centiliters", "cl"),
    "gram": ("grams", "gramme", "grammes", "g"),
    "kilogram": ("kilograms", "kilogramme", "kilogrammes", "kg", "kgs"),
    "milligram": ("milligrams", "mg"),
    "kilo": ("kilos",),
    "tonne": ("tonnes", "ton", "tons"),
    "ounce": ("ounces", "oz"),
    "stone": ("stones",),
    "inch": ("inches",),
    "foot": ("feet", "ft"),
    "yard": ("yards", "yd"),
    "mile": ("miles",),
    "pint": ("pints",),
    "gallon": ("gallons",),
    "acre": ("acres",),
    "hectare": ("hectares", "ha"),
    "second": ("seconds", "sec", "secs"),
    "minute": ("minutes", "min", "mins"),
    "hour": ("hours", "hr", "hrs"),
    "day": ("days",),
    "week": ("weeks",),
    "fortnight": ("fortnights",),
    "month": ("months",),
    "year": ("years",),
    "century": ("centuries",),
    "degree": ("degrees",),
    "celsius": ("centigrade",),
    "fahrenheit": (),
    "percent": (),
    "pound": ("pounds", "lb", "lbs"),
    "penny": ("pence", "pennies"),
    "dollar": ("dollars",),
    "cent": ("cents",),
    "euro": ("euros",),
    "dozen": ("dozens",),
    "watt": ("watts",),
    "kilowatt": ("kilowatts", "kw"),
    "volt": ("volts",),
    "amp": ("amps", "ampere", "amperes"),
    "newton": ("newtons",),
    "joule": ("joules",),
    "hertz": ("hz",),
    "square": ("squared",),
    "cubic": ("cubed", "cube"),
}
"""Units by the word that stands for them: plurals, US spellings, abbreviations. "ton" and
"tonne" sound alike. US spelling: NIST SP 811; symbols: BIPM SI Brochure."""

ABBREVIATED: Final = frozenset(
    {"m", "l", "g", "min", "sec", "cm", "mm", "km", "ml", "cl", "kg", "mg", "ft", "yd", "lb", "oz",
     "ha", "hr", "kw", "hz", "cms", "kms", "kgs", "lbs", "secs", "mins", "hrs"}
)  # fmt: skip
"""Those that count as a unit only behind a figure."""

NEGATIONS: Final = frozenset(
    {"not", "no", "never", "none", "nothing", "nobody", "neither", "nor", "without", "nowhere"}
)
COMPARISONS: Final = frozenset(
    {"more", "less", "fewer", "most", "least", "fewest", "before", "after", "first", "last",
     "larger", "smaller", "largest", "smallest", "greater", "greatest", "longer", "shorter",
     "longest", "shortest", "higher", "lower", "highest", "lowest", "above", "below", "over",
     "under", "left", "right", "odd", "even", "true", "false", "earlier", "later", "until",
     "inside", "outside", "increase", "decrease", "rises", "falls", "rose", "fell"}
)  # fmt: skip
"""Words that turn a question round where another of them stands in their place."""

_FRACTIONS: Final = frozenset({"half", "quarter", "nil"})
_SIGNS: Final = frozenset({"point", "minus", "plus", "times", "divided", "multiplied", "double",
                           "treble", "triple", "twice", "thrice", "equals"})  # fmt: skip

FIGURES: Final = NUMERALS | ORDINALS | _FRACTIONS | _SIGNS
_UNIT_OF: Final = {form: unit for unit, forms in UNITS.items() for form in (unit, *forms)}

SAME: Final = {
    "nought": "zero", "naught": "zero", "nil": "zero", "halves": "half", "halfs": "half",
    "quarters": "quarter", "fourths": "quarter", "fourth's": "quarter", "negative": "minus",
    "equal": "equals", "multiply": "multiplied", "divide": "divided", "fourty": "forty",
    "thirds": "third", "fifths": "fifth", "sixths": "sixth", "sevenths": "seventh",
    "eighths": "eighth", "eights": "eighth", "ninths": "ninth", "tenths": "tenth",
    "elevenths": "eleventh", "twelfths": "twelfth", "sixteenths": "sixteenth",
    "hundredths": "hundredth", "thousandths": "thousandth", "hundreds": "hundred",
    "thousands": "thousand", "millions": "million", "ok": "okay", "grey": "gray", "oclock":
    "o'clock", "colour": "color", "neighbour": "neighbor", "travelled": "traveled",
    "centre": "center", "theatre": "theater", "harbour": "harbor", "programme": "program",
    "favourite": "favorite",
}  # fmt: skip
"""One word for what is one word to the ear, or one spelling in two countries."""

ALSO: Final[dict[str, tuple[tuple[str, ...], ...]]] = {
    "to": (("two",),),
    "too": (("two",), ("to",)),
    "two": (("to",),),
    "for": (("four",),),
    "four": (("for",),),
    "fore": (("four",),),
    "ate": (("eight",),),
    "won": (("one",),),
    "know": (("no",),),
    "knot": (("not",), ("zero",)),
    "not": (("zero",),),
    "zero": (("o",), ("nothing",)),
    "oh": (("zero",), ("o",)),
    "o": (("zero",), ("oh",)),
    "cent": (("sent",),),
    "sent": (("cent",),),
    "pens": (("penny",),),
    "right": (("write",),),
    "fourth": (("quarter",), ("forth",)),
    "forth": (("fourth",),),
    "quarter": (("fourth",),),
    "half": (("one", "half"),),
    "third": (("one", "third"),),
    "second": (("one", "second"),),
    "kilo": (("kilogram",),),
    "dot": (("point",),),
}
"""What a heard word may also be: words that sound alike, and "half" for "one half"."""

CONTRACTED: Final = {
    "won't": ("will", "not"), "can't": ("can", "not"), "cannot": ("can", "not"),
    "shan't": ("shall", "not"), "let's": ("let", "us"), "ain't": ("is", "not"),
}  # fmt: skip
CONTRACTED_ENDS: Final = {
    "n't": ("not",), "'re": ("are",), "'ll": ("will",), "'ve": ("have",), "'m": ("am",),
    "'d": ("would",),
}  # fmt: skip


def unit_of(word: str) -> str:
    """Return the unit that a word names, in the singular; "" if it names none."""
    return _UNIT_OF.get(word, "")


def kind_of(word: str) -> Kind:
    """Return what a word in its one spelling is to the judgement."""
    if word in UNITS:
        return "unit"
    if word in FIGURES:
        return "figure"
    if word in NEGATIONS:
        return "negation"
    if word in COMPARISONS:
        return "comparison"
    return "letter" if len(word) == 1 and word not in {"a", "i"} else "plain"
