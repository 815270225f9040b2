"""Clock times: `3.15 pm`, `15:15`, `9 a.m.`, `08:30`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.wording import numbers
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK, Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_HALF: Final = rf"(?:{BLANK}?(?P<half>[ap]\.m\.|[ap]\.?m|[AP]\.?M\.?)(?!\w))?"
_TIME: Final = Late(
    r"(?P<hour>\d{1,2})(?P<mark>[.:])(?P<minute>[0-5]\d)(?::(?P<second>[0-5]\d))?"
    r"(?!\d|:\d)(?![.,]\d)(?![ \u00a0]\d{3}(?!\d))" + _HALF,
    re.ASCII,
)
_HOUR: Final = Late(
    rf"(?P<hour>\d{{1,2}}){BLANK}?(?P<half>[ap]\.m\.|[ap]m|[AP]M|[AP]\.M\.)(?!\w)", re.ASCII
)
_MILITARY: Final = Late(rf"([01]\d|2[0-3])[.:]?([0-5]\d){BLANK}(hours|hrs)(?!\w)", re.ASCII)
_HOURS: Final = Late(
    rf"(\d{{1,2}}){BLANK}?[–-]{BLANK}?(?=\d{{1,2}}(?:[.:]\d\d)?{BLANK}?[apAP]\.?[mM])", re.ASCII
)
_TO_HOUR: Final = Late(r"(\d{1,2}[.:][0-5]\d)[–-](\d{1,2})(?![\d.:%]|\w)", re.ASCII)
_PENNED: Final = Late(r"(\d{1,2})-([0-5][05])(?![\d\w.–-])", re.ASCII)
"""An hour and its minutes with a hyphen, as they are written by hand."""
_BEGINS: Final = frozenset(
    {"starts", "ends", "begins", "opens", "closes", "start", "end", "finishes", "leaves", "arrives"}
)
_WITH_H: Final = Late(r"([01]?\d|2[0-3])h([0-5]\d)(?!\w)", re.ASCII)
_OPENING: Final = Late(r"(\d{1,2})[–-](?=\d{1,2}[.:][0-5]\d(?!\d))", re.ASCII)
_LATER_HALF: Final = Late(
    rf"{BLANK}(?:and|to|or|until){BLANK}\d{{1,2}}(?:[.:]\d\d)?{BLANK}?[ap]\.?m(?!\w)", re.ASCII
)
_EARLIER: Final = Late(
    r"(?:\d{1,2}\.[0-5]\d|(?<=from )\d{1,2}|(?<=between )\d{1,2}) (?:to|and|until|or) $", re.ASCII
)
_LISTED: Final = Late(
    r"(?<![\d.£$€,])(?:(?:[1-9]|1\d|2[0-3])\.[0-5]\d"
    r"(?:, (?:and |or |then )?| (?:and|or|&|then) ))+$",
    re.ASCII,
)
"""Times of day before another in a list."""
_COUNTED: Final = Late(
    r"[ \u00a0](?:euros?|dollars?|pounds?|cents?|pence|yen|rupees?|francs?|million|billion|times|"
    r"per|goals|points|marks|metres|meters|miles)(?!\w)"
)
_PRECISE: Final = Late(r"(\d{1,3}):([0-5]\d\.\d{1,3})(?![\d:])", re.ASCII)
_DASH: Final = Late(rf"{BLANK}?[–-]{BLANK}?")


@frozen
class Time:
    """A time of day as written."""

    end: int
    hour: int
    minute: int | None
    half: str
    """"am", "pm" or ""."""
    second: int | None = None
    is_padded: bool = False
    mark: str = ""


def time_at(text: str, at: int) -> Time | None:
    """Return the time that begins at `at`; None where the figures are no time of day."""
    found = _TIME.match(text, at)
    if found is not None:
        hour, half = int(found["hour"]), _half(found["half"])
        if not _is_hour(hour, half):
            return None
        second = int(found["second"]) if found["second"] else None
        return Time(
            found.end(),
            hour,
            int(found["minute"]),
            half,
            second,
            is_padded=len(found["hour"]) == 2 and hour < 10,
            mark=found["mark"],
        )
    found = _HOUR.match(text, at)
    if found is not None and _is_hour(int(found["hour"]), _half(found["half"])):
        return Time(found.end(), int(found["hour"]), None, _half(found["half"]))
    return None


def _half(written: str | None) -> str:
    return (written or "").replace(".", "").lower()


def _is_hour(hour: int, half: str) -> bool:
    return 1 <= hour <= 12 if half else hour <= 24


def _by_hand(scan: Scan, at: int) -> Reading | None:
    """Read `2.15–4`, `9-00` and `19h30`, as notices have them."""
    language = scan.language
    to_hour = _TO_HOUR.match(scan.text, at)
    begun = (
        time_at(scan.text[: to_hour.end(1)], at) if to_hour and scan.mentions("opening") else None
    )
    if to_hour is not None and begun is not None and 1 <= int(to_hour[2]) <= 12:
        last = numbers.whole_words(int(to_hour[2]), language)
        return Reading(
            to_hour.end(), f"{time_words(begun, scan)} {language.word('to')} {last}", "time"
        )
    penned = _PENNED.match(scan.text, at)
    if penned is not None and scan.word_before(at) in _BEGINS and int(penned[1]) < 24:
        value = Time(penned.end(), int(penned[1]), int(penned[2]), "")
        return Reading(penned.end(), time_words(value, scan), "time")
    french = _WITH_H.match(scan.text, at)
    if french is not None and int(french[1]) < 24:
        value = Time(french.end(), int(french[1]), int(french[2]), "")
        return Reading(french.end(), time_words(value, scan), "time")
    opening = _OPENING.match(scan.text, at)
    until = time_at(scan.text, opening.end()) if opening and scan.mentions("opening") else None
    if opening is not None and until is not None and 1 <= int(opening[1]) <= 12:
        first = numbers.whole_words(int(opening[1]), language)
        words = f"{first} {language.word('to')} {time_words(until, scan)}"
        return Reading(until.end, words, "time")
    return None


def read(scan: Scan, at: int) -> Reading | None:
    """Read a clock time, or a stretch from one to another."""
    language = scan.language
    if not language.has("clock"):
        return None
    military = _MILITARY.match(scan.text, at)
    if military:
        return Reading(military.end(), _military(scan, military), "time")
    if (penned := _by_hand(scan, at)) is not None:
        return penned
    hours = _HOURS.match(scan.text, at)
    last = time_at(scan.text, hours.end()) if hours else None
    if hours and last is not None and last.half and 1 <= int(hours[1]) <= 12:
        first = numbers.whole_words(int(hours[1]), language)
        words = f"{first} {language.word('to')} {time_words(last, scan)}"
        return Reading(last.end, words, "time")
    precise = _PRECISE.match(scan.text, at)
    if precise is not None and language.has("units"):
        number = scan.number(precise.start(2))
        minutes, minute = int(precise[1]), language.units["min"]
        name = minute.one if minutes == 1 else minute.many
        seconds = scan.words_of(number) if number else precise[2]
        seconds = seconds.removeprefix("zero ").removeprefix("nought ")
        head = numbers.whole_words(minutes, language)
        return Reading(
            precise.end(),
            f"{head} {name} {seconds} {language.units['s'].many}",
            "time",
        )
    time = time_at(scan.text, at)
    if time is None:
        return None
    if (
        time.mark == ":"
        and time.minute == 0
        and not time.half
        and time.second is None
        and scan.decide("seconds", at, time.end)
    ):
        minute = language.units["min"]
        name = minute.one if time.hour == 1 else minute.many
        words = f"{numbers.whole_words(time.hour, language)} {name}"
        return Reading(time.end, words, "time")
    if time.second is not None and not time.half:
        told = scan.decide("colon", at, time.end)
        if told is not None and told.reads == "ratio":
            return None
    if time.second is not None and scan.decide("seconds", at, time.end) is not None:
        return Reading(time.end, _long_duration(scan, time), "time")
    dash = _DASH.match(scan.text, time.end)
    second = time_at(scan.text, dash.end()) if dash and time.mark != "." else None
    if dash and second is None and (time.half or time.mark == "."):
        second = time_at(scan.text, dash.end())
    if second is not None and (time.mark == ":" or time.half or second.half):
        words = f"{time_words(time, scan)} {language.word('to')} {time_words(second, scan)}"
        return Reading(second.end, words, "time")
    if dash and second is not None and time.mark == second.mark == ".":
        found = _dotted_stretch(scan, at, time, second, dash)
        if found is not None:
            return found
    if time.mark == ":" and re.match(r"[ \u00a0]?h(?!\w)", scan.text[time.end :]):
        end = scan.text.index("h", time.end) + 1
        return Reading(end, time_words(time, scan), "time")
    return _doubted(scan, at, time)


def _dotted_stretch(
    scan: Scan, at: int, time: Time, second: Time, dash: re.Match[str]
) -> Reading | None:
    """Read `9.10–9.25`: times by their cue, else doubted, or left to decimals."""
    language = scan.language
    to = language.word("to")
    words = f"{time_words(time, scan)} {to} {time_words(second, scan)}"
    expected = language.listed("clock", "surely") | language.listed("clock", "maybe")
    if scan.decide("point", at, time.end) is not None or scan.word_before(at) in expected:
        return Reading(second.end, words, "time")
    if scan.mentions("opening") and (time.minute or 0) % 5 == 0 and (second.minute or 0) % 5 == 0:
        return Reading(second.end, words, "time")
    if dash[0].strip() == "–" and 0 < time.hour < second.hour < 24:
        stretch = f"{_decimal(scan, at)} {to} {_decimal(scan, dash.end())}"
        doubt = scan.doubt(at, second.end, ("", words), ("", stretch))
        return Reading(second.end, words, "time", (doubt,))
    return None


def _decimal(scan: Scan, at: int) -> str:
    number = scan.number(at)
    return scan.words_of(number) if number else ""


def _long_duration(scan: Scan, time: Time) -> str:
    """Return hours, minutes and seconds of a race: "two hours, one minute and nine seconds"."""
    units = scan.language.units
    parts = []
    for value, symbol in ((time.hour, "h"), (time.minute or 0, "min"), (time.second or 0, "s")):
        if value or symbol == "s":
            name = units[symbol].one if value == 1 else units[symbol].many
            parts.append(f"{numbers.whole_words(value, scan.language)} {name}")
    return (
        f"{', '.join(parts[:-1])} {scan.language.word('and')} {parts[-1]}"
        if len(parts) > 1
        else parts[0]
    )


def _doubted(scan: Scan, at: int, time: Time) -> Reading | None:
    """Read a time; where it may be a number or ratio, doubt it or leave it to them."""
    words = time_words(time, scan)
    if scan.text.startswith("ish", time.end):
        return Reading(time.end + 3, f"{words}-ish", "time")
    if time.half or time.minute is None or time.is_padded or time.second is not None:
        return Reading(time.end, words, "time")
    before = scan.word_before(at)
    is_expected = before in scan.language.table("clock").get("before_words", ())
    if time.mark == ":":
        others = (("ratio", _as_pair(scan, time)),)
        told = scan.decide("colon", at, time.end)
        if told is not None and told.reads in {"ratio", "verse", "score"}:
            return None
        if told is not None and told.reads == "time":
            return Reading(time.end, words, "time", because=told.told(scan.text[at : time.end]))
        if scan.language.has("ratios") and scan.mentions("ratios"):
            return None
        if is_expected or time.hour > 12 or time.minute == 0 or scan.language.tag != "en":
            return Reading(time.end, words, "time")
        doubt = scan.doubt(at, time.end, ("time", words), *others)
        return Reading(time.end, words, "time", (doubt,))
    if time.hour == 0 or scan.word_after(time.end).rstrip("s") in scan.language.unit_names:
        return None
    if _is_rated(scan, time.end) or _COUNTED.match(scan.text, time.end):
        return None
    if re.match(r"[ \u00a0](?:noon|midnight|midday)\b", scan.text[time.end :]):
        return Reading(time.end, words, "time")
    told = scan.decide("point", at, time.end)
    if told is not None and told.reads == "section":
        return None
    if told is None and _follows_time(scan, at):
        return Reading(time.end, words, "time")
    if told is not None and told.reads == "time" and told.sure:
        return Reading(time.end, words, "time", because=told.told(scan.text[at : time.end]))
    follows_unit = re.compile(rf"{BLANK}?[%°€£$A-Za-zµΩ]").match(scan.text, time.end)
    if _LATER_HALF.match(scan.text, time.end):
        return Reading(time.end, words, "time")
    earlier = _EARLIER.search(scan.text[:at])  # "from 7.30 to 8.15"
    before = scan.word_before(earlier.start()) if earlier else before
    listed = scan.language.listed("clock", "maybe")
    clear = time.hour <= 23 and (
        before in scan.language.listed("clock", "surely")
        or (before in listed and (time.minute or 0) % 5 == 0)
    )
    if scan.beside_operator(at, time.end) or not clear:
        return None
    if follows_unit and scan.language.units and _is_unit_after(scan, time.end):
        return None
    number = scan.number(at)
    other = scan.words_of(number) if number else ""
    return Reading(
        time.end, words, "time", (scan.doubt(at, time.end, ("time", words), ("number", other)),)
    )


_STROKES: Final = Late(r"(0\d?)['′’]([0-5]\d)[\"″”]", re.ASCII)


def strokes(scan: Scan, at: int) -> Reading | None:
    """Read `00'30"`: minutes and seconds of a recording."""
    language = scan.language
    found = _STROKES.match(scan.text, at)
    if found is None or not language.has("units"):
        return None
    said = []
    for value, symbol in ((int(found[1]), "min"), (int(found[2]), "s")):
        name = language.units[symbol]
        if value or symbol == "s":
            called = name.one if value == 1 else name.many
            said.append(f"{numbers.whole_words(value, language)} {called}")
    return Reading(found.end(), " ".join(said), "time")


def _follows_time(scan: Scan, at: int) -> bool:
    """Say whether times of day with points stand before this one in a list: "at 9.10, 9.25"."""
    listed = _LISTED.search(scan.text[:at])
    if listed is None:
        return False
    first = time_at(scan.text, listed.start())
    if first is None or scan.text[first.end : first.end + 1] not in tuple(", "):
        return False
    return (found := _doubted(scan, listed.start(), first)) is not None and found.end == first.end


def _is_rated(scan: Scan, end: int) -> bool:
    """Say whether a per cent or degree sign makes figures with a point a number."""
    return scan.text[end : end + 2].lstrip(" \u00a0")[:1] in tuple("%°‰")


def _is_unit_after(scan: Scan, end: int) -> bool:
    following = re.compile(rf"{BLANK}?([%°€£$]|[A-Za-zµΩ/]+)").match(scan.text, end)
    if following is None:
        return False
    return following[1][0] in "%°€£$" or following[1] in scan.language.units


def _as_pair(scan: Scan, time: Time) -> str:
    language = scan.language
    minute = time.minute or 0
    return (
        f"{numbers.whole_words(time.hour, language)} {language.word('to')} "
        f"{numbers.whole_words(minute, language)}"
    )


# ---- words


def time_words(time: Time, scan: Scan) -> str:
    """Return the words of a time: the figures as written, or by the quarter if so chosen."""
    clock = scan.language.table("clock")
    half = named(clock.get(time.half, "")) if time.half else ""
    if scan.style("times") == "quarter-past" and time.minute and time.second is None:
        quartered = _by_quarters(time, scan)
        if quartered:
            return quartered
    words = _as_written(time, scan)
    return f"{words} {half}".strip()


def _as_written(time: Time, scan: Scan) -> str:
    language, clock = scan.language, scan.language.table("clock")
    gender = clock.get("hour_gender", "")
    hour = numbers.whole_words(time.hour, language, gender)
    names = language.table("numbers")["digits"]
    if time.hour == 0 or time.is_padded:
        zero = names[0] if language.tag != "en" else (scan.zero if time.hour == 0 else "oh")
        hour = zero if time.hour == 0 else f"{clock['oh']} {hour}".strip()
        if time.hour == 0 and language.tag == "en":
            hour = "zero zero" if time.is_padded or time.minute == 0 else "zero"
    if time.minute is None:
        return hour
    joint = clock.get("joint", " ")
    if time.minute == 0:
        if time.half:
            words = hour
        elif "oclock" in clock:
            words = f"{hour} {clock['oclock']}"
        elif time.hour in range(1, 13) and not time.is_padded:
            words = f"{hour} {language.word('o_clock')}"
        else:
            words = f"{hour} {language.word('hundred')}"
            if time.hour == 0 and language.tag == "en":
                words += " hours"
    else:
        minute = numbers.whole_words(time.minute, language)
        if time.minute < 10 and clock["oh"]:
            minute = f"{clock['oh']} {minute}"
        words = f"{hour}{joint}{minute}"
    if time.second is not None:
        second = numbers.whole_words(time.second, language)
        unit = language.pair("second_of_angle", one=time.second == 1)
        words += f" {language.word('and')} {second} {unit}"
    return words


def _by_quarters(time: Time, scan: Scan) -> str:
    """Return "quarter past three", "twenty to four"; "" where a 24-hour time is meant."""
    if time.hour > 12 or time.hour == 0 or time.minute is None or time.is_padded:
        return ""
    language, clock = scan.language, scan.language.table("clock")
    gender = clock.get("hour_gender", "")
    hour = numbers.whole_words(time.hour, language, gender)
    following = numbers.whole_words(time.hour % 12 + 1, language, gender)
    name = {15: "quarter_past", 30: "half_past", 45: "quarter_to"}.get(time.minute)
    if name:
        return str(clock[name]).format(hour=hour, next=following)
    is_past = time.minute < 30
    n_minutes = time.minute if is_past else 60 - time.minute
    minutes = numbers.whole_words(n_minutes, language)
    if n_minutes % 5 and "minutes" in clock:
        minutes = str(clock["minutes"][n_minutes > 1]).format(minutes=minutes)
    return str(clock["past" if is_past else "before"]).format(
        minutes=minutes, hour=hour, next=following
    )


def _military(scan: Scan, found: re.Match[str]) -> str:
    """Return "oh eight thirty hours"."""
    language = scan.language
    time = Time(0, int(found[1]), int(found[2]), "", is_padded=found[1][0] == "0", mark="")
    if time.minute == 0:
        hour = numbers.whole_words(time.hour, language) if time.hour else "zero zero"
        if time.is_padded and time.hour:
            hour = f"oh {hour}"
        return f"{hour} {language.word('hundred_hours')} hours"
    return f"{_as_written(time, scan)} hours"
