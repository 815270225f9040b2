"""Names of units against CLDR, through the library babel: singular, plural, British, American."""

from __future__ import annotations

from pathlib import Path

import pytest
from babel.units import format_unit
from pausewright.wording.plain_lines import LineWorder

UNITS = {
    "m": "length-meter", "km": "length-kilometer", "cm": "length-centimeter",
    "mm": "length-millimeter", "µm": "length-micrometer", "nm": "length-nanometer",
    "in": "length-inch", "ft": "length-foot", "yd": "length-yard", "mi": "length-mile",
    "g": "mass-gram", "kg": "mass-kilogram", "mg": "mass-milligram", "µg": "mass-microgram",
    "lb": "mass-pound", "oz": "mass-ounce", "l": "volume-liter", "ml": "volume-milliliter",
    "cl": "volume-centiliter", "dl": "volume-deciliter", "pt": "volume-pint",
    "tsp": "volume-teaspoon", "tbsp": "volume-tablespoon", "m²": "area-square-meter",
    "km²": "area-square-kilometer", "cm²": "area-square-centimeter", "ha": "area-hectare",
    "m³": "volume-cubic-meter", "cm³": "volume-cubic-centimeter",
    "m/s": "speed-meter-per-second", "km/h": "speed-kilometer-per-hour",
    "mph": "speed-mile-per-hour", "m/s²": "acceleration-meter-per-square-second",
    "s": "duration-second", "min": "duration-minute", "h": "duration-hour", "d": "duration-day",
    "ms": "duration-millisecond", "Hz": "frequency-hertz", "kHz": "frequency-kilohertz",
    "MHz": "frequency-megahertz", "W": "power-watt", "kW": "power-kilowatt", "J": "energy-joule",
    "kJ": "energy-kilojoule", "kcal": "energy-kilocalorie", "V": "electric-volt",
    "mA": "electric-milliampere", "Ω": "electric-ohm", "Pa": "pressure-pascal",
    "hPa": "pressure-hectopascal", "bar": "pressure-bar", "N": "force-newton",
    "°C": "temperature-celsius", "°F": "temperature-fahrenheit", "px": "graphics-pixel",
    "MB": "digital-megabyte", "GB": "digital-gigabyte",
    "lx": "light-lux", "rad": "angle-radian",
}  # fmt: skip


@pytest.mark.parametrize("symbol", UNITS)
@pytest.mark.parametrize(("language", "locale"), [("en-GB", "en_GB"), ("en-US", "en_US")])
@pytest.mark.parametrize(("number", "words"), [("1", "one"), ("5", "five")])
def test_a_unit_is_named_as_in_cldr(
    symbol: str, language: str, locale: str, number: str, words: str
) -> None:
    """The long name of CLDR, with its plural, after the number in words."""
    worder = LineWorder(Path("-"), language, {})
    tail = " long" if symbol == "in" else ""
    cldr = format_unit(int(number), UNITS[symbol], length="long", locale=locale)

    found = worder.spoken(f"{number} {symbol}{tail}").removesuffix(tail)

    assert worder.problems.errors == ()
    # newer releases of CLDR tell pints apart, as en-GB does not in speech
    assert found == cldr.replace(number, words, 1).replace(" US ", " ")
