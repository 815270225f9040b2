"""Money: `£4.50`, `$3`, `€12.50`, `50p`, `£2.5 million`, `£3 per kilogram`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import attributive, formula_brackets, fractions, numbers, units
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK, Reading

if TYPE_CHECKING:
    from pausewright.wording.language import Currency, Language
    from pausewright.wording.numbers import Number
    from pausewright.wording.scan import Doubt, Scan

_SIGN: Final = Late(r"(?:US|AU|CA|NZ|HK|A|C|S)?\$|[£€¥₹₩₽₺₪]")
_GAP: Final = Late(f"{BLANK}?")
_AMOUNT: Final = Late(
    rf"(?:[ \u00a0\u202f\u2009-]([a-zñ]+)|{BLANK}?(k|K|bn|tn|mn|mil|[mMbB]))(?!\w)"
)
_OLD: Final = Late(
    r"(?:£(?P<l>\d{1,4})[ .,]?[ ]?)?(?P<s>\d{1,2})s\.?[ ]?"
    r"(?P<d>\d{1,2})(?P<half>½|¼|¾)?d\b\.?(?=\W|$)|"
    r"£(?P<l2>\d{1,4})[ ](?P<s2>1?\d)s(?!\w)",
    re.ASCII,
)
_OLD_PENCE: Final = Late(r"(?P<d>\d{1,2})(?P<half>½|¼|¾)?d(?!\w)", re.ASCII)
_CODE_FIRST: Final = Late(rf"([A-Z]{{3}}){BLANK}?(?=\d)")
_CODE: Final = Late(rf"{BLANK}?([A-Z]{{3}})(?!\w)")
_SPACED: Final = Late(r"(\d{1,3}(?:[ \u00a0\u202f]\d{3})+)(?!\d)(?:\.(\d\d))?", re.ASCII)
_LETTER: Final = Late(r"([a-z])(?![\w’'])")
_RUPEES: Final = Late(r"Rs\.?[ \u00a0]?(?=\d)")
_CLOSED_RATE: Final = Late(r"(pw|pcm|pa|ph|pp|ea|ono)(?!\w)")
_THOUSANDS: Final = Late(r"([£$€])?['’]?000s?(?!\w)")
_PENNED: Final = Late(r"[£$](\d{1,3})-(\d\d)(?![\d\w.–-])", re.ASCII)
"""Pounds and pence with a hyphen, as they are written by hand."""
_SCALE: Final = Late(r"(?:m|k|bn|mn)(?![\w’'])")
_SHILLINGS: Final = Late(r"(?:£(\d{1,3}) )?(\d{1,2})/-")
_LONE_SHILLINGS: Final = Late(r"(\d{1,2})s(?:\.(?=[ ,;][a-z])|(?!\w))", re.ASCII)
_PART: Final = Late(r"\d{0,3}[½¼¾]p(?!\w)")
_DASH: Final = Late(rf"{BLANK}?[–-]{BLANK}?")


def read(scan: Scan, at: int) -> Reading | None:
    """Read an amount of money with its sign before or after it."""
    if not scan.language.has("currencies"):
        return None
    if (old := _old_money(scan, at)) is not None:
        return old
    sign = _SIGN.match(scan.text, at)
    if sign is not None:
        currency = scan.language.currencies.get(sign[0])
        return None if currency is None else _signed(scan, sign, currency)
    return _named_after(scan, at)


def read_code(scan: Scan, at: int) -> Reading | None:
    """Read `GBP 50` and `CHF20`: the code of a currency before its figure."""
    sign = _SIGN.match(scan.text, at) if scan.text[at - 1 : at] != "$" else None
    prefix = scan.language.table("dollars").get(sign[0].rstrip("$")) if sign else None
    rupees = _RUPEES.match(scan.text, at)
    begun = sign if prefix else rupees
    number = scan.number(begun.end()) if begun is not None else None
    if number is not None:
        currency = scan.language.currencies["₹" if rupees else "$"]
        found = _amount(scan, number, currency)
        words = found.words
        if prefix:
            words = re.sub(r"\b(dollars?)\b", rf"{named(prefix)} \1", words, count=1)
        return Reading(found.end, words, "money")
    coded = _CODE_FIRST.match(scan.text, at)
    if coded is None or coded[1] not in scan.language.table("currency_codes"):
        return None
    return _named_after(scan, at)


def _signed(scan: Scan, sign: re.Match[str], currency: Currency) -> Reading | None:
    comma = re.compile(r"(\d{1,3}),(\d\d)(?![\d,.])", re.ASCII).match(
        scan.text, _past_gap(scan, sign.end())
    )
    if comma is not None and scan.language.tag == "en":
        whole = numbers.Number(comma.end(), comma[1], comma[2])
        return Reading(comma.end(), amount_words(scan, whole, currency), "money")
    spaced = _SPACED.match(scan.text, sign.end())
    if spaced is not None and scan.language.tag == "en":
        digits = re.sub(r"\D", "", spaced[1])
        whole = numbers.Number(spaced.end(), digits, spaced[2] or "", grouped=True)
        return _with_rate(scan, _amount(scan, whole, currency))
    if (
        sign[0] == "£"
        and re.search(r"(?:the|per|to the|a) $", scan.text[: sign.start()])
        and (not scan.text[sign.end() : sign.end() + 1].isalnum())
    ):
        return Reading(sign.end(), currency.one, "money")
    scaled = _SCALE.match(scan.text, sign.end())
    if scaled is not None and scan.language.tag == "en":
        name = scan.language.table("amounts")[scaled[0]]
        return Reading(scaled.end(), f"{name}s {scan.language.word('of')} {currency.many}", "money")
    if (
        scan.text[sign.end() : sign.end() + 1] == "("
        and scan.language.tag == "en"
        and formula_brackets.open_formula_bracket(scan, sign.end())
    ):
        scan.after_bracket[max(scan.closings)] = currency.many
        return Reading(sign.end() + 1, f"{scan.language.word('open_bracket')} ", "money")
    letter = _LETTER.match(scan.text, sign.end())
    if letter is not None and scan.language.tag == "en":
        return Reading(letter.end(), named(f"{letter[1]} {currency.many}"), "money")
    several = _THOUSANDS.match(scan.text, sign.start())
    if several is not None and scan.language.tag == "en":
        of = scan.language.word("of")
        thousands = f"{scan.language.table('amounts')['thousand']}s"
        return Reading(several.end(), f"{thousands} {of} {currency.many}", "money")
    number = scan.number(_past_gap(scan, sign.end()))
    if number is None or re.match(r"[.,]\d", scan.text[number.end : number.end + 2]):
        return None
    penned = _PENNED.match(scan.text, sign.start())
    if penned is not None and scan.mentions("fares"):
        amount = numbers.Number(penned.end(), penned[1], penned[2])
        return Reading(penned.end(), amount_words(scan, amount, currency), "money")
    dash = _DASH.match(scan.text, number.end)
    if dash:
        again = _SIGN.match(scan.text, dash.end())
        start = again.end() if again and again[0] == sign[0] else dash.end()
        second = scan.number(start)
        if second is not None:
            last = _amount(scan, second, currency)
            falls = float(f"{second.whole or 0}.{second.places or 0}") < float(
                f"{number.whole or 0}.{number.places or 0}"
            )
            if dash[0].strip() != dash[0] and (scan.is_formula or falls):
                return _amount(scan, number, currency)
            if not again and last.end != second.end:
                words = f"{scan.words_of(number)} {scan.language.word('to')} {last.words}"
                return Reading(last.end, words, "money")
            first = (
                _amount(scan, number, currency).words
                if again or number.places
                else scan.words_of(number, currency.gender)
            )
            said = last.words
            if _is_attribute(scan, sign.start(), last.end):
                said = re.sub(rf"\b{currency.many}\b", currency.one, said)
                first = scan.words_of(number) if not number.places else first
            return Reading(last.end, f"{first} {scan.language.word('to')} {said}", "money")
    found = _amount(scan, number, currency)
    if _is_attribute(scan, sign.start(), found.end):
        words = found.words
        for many, one in ((currency.many, currency.one), (currency.part_many, currency.part_one)):
            words = re.sub(rf"\b{many}\b", one, words) if many else words
        if number.places and not scan.language.day_first:
            words = found.words
        return Reading(found.end, words, "money")
    if (to := _to_another(scan, found, sign[0])) is not None:
        return to
    return _with_rate(scan, found)


def _to_another(scan: Scan, found: Reading, sign: str) -> Reading | None:
    """Read `£1m–£2m`: a dash and another amount after one that has a scale."""
    dash = _DASH.match(scan.text, found.end)
    again = _SIGN.match(scan.text, dash.end()) if dash else None
    if again is None or again[0] != sign:
        return None
    last = _signed(scan, again, scan.language.currencies[sign])
    if last is None:
        return None
    return Reading(last.end, f"{found.words} {scan.language.word('to')} {last.words}", "money")


_WRITTEN_OUT: Final = Late(r"-(?:[a-z]{2,}|a-)")


def _is_attribute(scan: Scan, at: int, end: int) -> bool:
    """Say whether an amount stands before its noun: "a £5 note", "a $5-per-hour raise"."""
    if _WRITTEN_OUT.match(scan.text, end):
        return True
    articles, nouns = (scan.language.listed("money", name) for name in ("articles", "nouns"))
    if scan.word_after(end) in nouns and (
        scan.word_before(at) in articles or scan.word_after(end).endswith("s")
    ):
        return True
    return attributive.is_attribute(scan, at, end) and scan.word_after(
        end
    ) not in scan.language.listed("money", "no_nouns")


def _old_money(scan: Scan, at: int) -> Reading | None:
    """Read pounds, shillings and pence: `2s 6d`, `£3 5s 4d`, and `4d` beside them."""
    table = scan.language.table("old_money")
    if not table:
        return None
    shillings = _SHILLINGS.match(scan.text, at)
    if shillings is not None:
        names = (("pound", shillings[1]), ("shilling", shillings[2]))
        said = [
            f"{numbers.whole_words(int(value), scan.language)} {table[name][value != '1']}"
            for name, value in names
            if value
        ]
        return Reading(shillings.end(), f" {scan.language.word('and')} ".join(said), "money")
    lone = _LONE_SHILLINGS.match(scan.text, at)
    if lone is not None and (
        scan.mentions("old_money")
        or re.match(r" (?:in the £|an? (?:yd|yard|lb|pound|week|day))", scan.text[lone.end() :])
    ):
        one, many = table["shilling"]
        words = numbers.whole_words(int(lone[1]), scan.language)
        return Reading(lone.end(), f"{words} {one if lone[1] == '1' else many}", "money")
    found = _OLD.match(scan.text, at)
    if found is None:
        found = _OLD_PENCE.match(scan.text, at)
        sure = found is not None and (
            found["half"] or scan.mentions("old_money") or _OLD.search(scan.text)
        )
        found = found if sure else None
        if found is None or found["d"] == "0":
            return None
        return Reading(found.end(), _old_pence(scan, found), "money")
    parts = []
    if found["l2"]:
        pounds, n_shillings = int(found["l2"]), int(found["s2"])
        both = [
            f"{numbers.whole_words(value, scan.language)} {table[name][value != 1]}"
            for value, name in ((pounds, "pound"), (n_shillings, "shilling"))
        ]
        return Reading(found.end(), f" {scan.language.word('and')} ".join(both), "money")
    for name in ("l", "s"):
        if found[name] and int(found[name]):
            one, many = table["pound" if name == "l" else "shilling"]
            value = int(found[name])
            parts.append(
                f"{numbers.whole_words(value, scan.language)} {one if value == 1 else many}"
            )
    pence = _old_pence(scan, found)
    words = f"{', '.join(parts)} {scan.language.word('and')} {pence}" if parts else pence
    return Reading(found.end(), words, "money")


def _old_pence(scan: Scan, found: re.Match[str]) -> str:
    one, many = scan.language.table("old_money")["penny"]
    value = int(found["d"])
    words = numbers.whole_words(value, scan.language) if value else scan.zero
    if found["half"]:
        half = fractions.fraction_at("0" + found["half"], 0)
        part = (
            fractions.fraction_words(half, scan).partition(f" {scan.language.word('and')} ")[2]
            if half
            else ""
        )
        return f"{words} {scan.language.word('and')} {part} {many}"
    return f"{words} {one if value == 1 else many}"


def _with_rate(scan: Scan, reading: Reading) -> Reading:
    """Add what stands after a slash: "per kilogram"."""
    if scan.text[reading.end : reading.end + 1] != "/" or not scan.language.has("units"):
        return reading
    found = units.unit_at(scan, reading.end + 1)
    if found is None:
        return reading
    factors, divisors, end, _ = found
    per = scan.language.word("per")
    name = units.unit_words(scan, factors, divisors, one=True)
    return Reading(end, f"{reading.words} {per} {name}", "money")


def _amount(scan: Scan, number: Number, currency: Currency) -> Reading:
    language = scan.language
    rate = _CLOSED_RATE.match(scan.text, number.end)
    if rate is not None and scan.language.has("closed_rates"):
        name = scan.language.table("closed_rates").get(rate[1], "")
        if name:
            words = amount_words(scan, number, currency)
            return Reading(rate.end(), f"{words} {name}", "money")
    scale = _AMOUNT.match(scan.text, number.end)
    name = language.table("amounts").get((scale[1] or scale[2]) if scale else "", "")
    if scale and name:
        joint = (
            " " + language.table("numbers")["of_millions"]
            if language.table("numbers").get("of_millions")
            else ""
        )
        return Reading(
            scale.end(), f"{scan.words_of(number)} {name}{joint} {currency.many}", "money"
        )
    end = number.end
    doubled = scan.text[end : end + 1] == "p" and not scan.text[end + 1 : end + 2].isalnum()
    slip = None
    if scan.text[end : end + 1] == "s" and not scan.text[end + 1 : end + 2].isalnum():
        end += 1  # "two £2s"
    if doubled and len(number.places) == 2 and currency.part_many == "pence":
        end += 1
        slip = (number.end, end, "the amount without p")
    return Reading(end, amount_words(scan, number, currency), "money", slip=slip)


def amount_words(scan: Scan, number: Number, currency: Currency) -> str:
    """Return an amount in words: "twelve pounds fifty"."""
    language = scan.language
    main = (
        currency.one
        if number.is_one or (number.whole == "1" and len(number.places) == 2)
        else currency.many
    )
    if not number.places or len(number.places) != 2 or not currency.part_one:
        return f"{scan.words_of(number, currency.gender)} {main}"
    whole = numbers.whole_words(int(number.whole or "0"), language, currency.gender)
    if int(number.whole or "0") == 0 and language.table("money").get("small_parts_alone"):
        part = int(number.places)
        if part:
            name = currency.part_one if part == 1 else currency.part_many
            return f"{numbers.whole_words(part, language)} {name}"
    if int(number.whole or "0") == 0:
        whole = scan.zero if language.tag == "en" else language.table("numbers")["digits"][0]
    head = f"{whole} {main}"
    part = int(number.places)
    if part == 0:
        return head
    gender = currency.part_gender or currency.gender
    parts = numbers.whole_words(part, language, gender)
    if part >= 10 and scan.style("money") == "twelve-pounds-fifty":
        return f"{head} {parts}"
    joint = language.table("money").get("joint", language.word("and"))
    return f"{head} {joint} {parts} {currency.part_one if part == 1 else currency.part_many}"


def _named_after(scan: Scan, at: int) -> Reading | None:
    """Read `50p`, `20c`, `3,50 €`, `12.50 EUR`."""
    language = scan.language
    coded = _CODE_FIRST.match(scan.text, at)
    if coded is not None:
        sign_of = language.table("currency_codes").get(coded[1])
        number = scan.number(coded.end())
        return (
            None
            if number is None or not sign_of
            else _amount(scan, number, language.currencies[sign_of])
        )
    part = _PART.match(scan.text, at) if scan.language.table("currency_parts") else None
    fraction = fractions.fraction_at(scan.text[: part.end() - 1], at) if part else None
    if fraction is not None and part is not None and not scan.is_formula:
        currency = language.currencies["£"]
        return Reading(
            part.end(), f"{fractions.fraction_words(fraction, scan)} {currency.part_many}", "money"
        )
    number = scan.number(at)
    if number is None:
        return None
    after = _past_gap(scan, number.end)
    sign = _SIGN.match(scan.text, after)
    if sign is not None and sign[0] in language.currencies and not _figure_at(scan, sign.end()):
        words = amount_words(scan, number, language.currencies[sign[0]])
        return Reading(sign.end(), words, "money")
    code = _CODE.match(scan.text, number.end)
    if code is not None and code[1] in language.table("currency_codes"):
        currency = language.currencies[language.table("currency_codes")[code[1]]]
        return Reading(code.end(), amount_words(scan, number, currency), "money")
    letter = scan.text[number.end : number.end + 1]
    if letter not in language.table("currency_parts") or not letter or _is_longer(scan, number.end):
        return None
    return _hundredths(scan, at, number, letter)


def _hundredths(scan: Scan, at: int, number: Number, letter: str) -> Reading | None:
    """Read `50p`; in a formula with other letters p is a letter."""
    language: Language = scan.language
    if scan.beside_operator(at, number.end + 1) and re.search(
        rf"(?<![\w’']){letter}(?![\w’'])", scan.text[number.end + 1 :] + " " + scan.text[:at]
    ):
        return None
    end = number.end + 1
    others = re.findall(
        r"(?<![^\W\d_])[^\W\d_](?![^\W\d_])", scan.text[:at] + " " + scan.text[end:]
    )
    if letter != "¢" and scan.beside_operator(at, end) and set(others) - {letter}:
        return None
    told = (
        scan.decide("part_of_pound", at, end)
        if letter == "p" and scan.beside_operator(at, end)
        else None
    )
    if told is not None:
        return None
    currency = language.currencies[language.table("currency_parts")[letter]]
    is_attribute = currency.part_many.endswith("s") and attributive.is_attribute(scan, at, end)
    name = currency.part_one if number.is_one or is_attribute else currency.part_many
    words = f"{scan.words_of(number)} {name}"
    doubts: tuple[Doubt, ...] = ()
    if scan.is_formula and scan.beside_operator(at, end) and letter != "¢":
        doubts = (scan.doubt(at, end, ("", words), ("", f"{scan.words_of(number)} {letter}")),)
    return _with_rate(scan, Reading(end, words, "money", doubts))


def _past_gap(scan: Scan, at: int) -> int:
    gap = _GAP.match(scan.text, at)
    return gap.end() if gap else at


def _figure_at(scan: Scan, at: int) -> bool:
    return scan.text[at : at + 1].isdigit()


def _is_longer(scan: Scan, at: int) -> bool:
    return scan.text[at + 1 : at + 2].isalnum()
