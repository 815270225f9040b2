"""Abbreviations, titles and initials: `Mr.`, `e.g.`, `No. 5`, `St. Ives`, `J. R. Hill`, `TV`."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Scan

_INITIALS: Final = Late(r"(?:[A-Z]\.[ \u00a0]?){1,4}(?=[ \u00a0]?[A-Z][a-z])")
_DOTTED: Final = Late(r"(?:[A-Za-z]\.){2,6}")
_HOUSE: Final = Late(r"(?:^|[ \u00a0])\d{1,5}[ \u00a0]$")
_COMPASS: Final = Late(r"([NSEW]|[NS][EW])\.?(?=[ \u00a0](?:[A-Z][a-z]|\d+(?:st|nd|rd|th)))")
_SIDE: Final = Late(
    r"(N[EW]|S[EW])(?=[ \u00a0](?:of|corner|side|edge|coast|quarter|part|region|winds?|end|tip|"
    r"slope|face|"
    r"England|London|Africa|Asia|Europe|Scotland|Wales|France|India|Australia|direction|monsoon|"
    r"trade)\b)|"
    r"(?<=St\.[ ])(NW|NE|SW|SE)(?!\w)|(?<=Ave\.[ ])(NW|NE|SW|SE)(?!\w)"
)
"""Two letters of the compass before a part of the country, or after a road."""
_AXIS: Final = Late(r"(?<![\w–-])(?=N[–-]S|S[–-]N|E[–-]W|W[–-]E)([NSEW])[–-]([NSEW])(?![\w–-])")
_TURNED: Final = Late(
    r"(?<![\d,] )(?:NE|NW|SE|SW)(?=[ ](?:and|then|or|for|by|until|of|from|to|along)\b|[.,;?!)]|$)"
)
_SIDE_OF: Final = Late(r"[NSEW](?=[ ]of[ ](?:the|[A-Z]))")
_REGION: Final = Late(
    r"([NSEW])\.(?=[ \u00a0](?:of\b|America|Africa|Asia|Pole|Wales|Yorks|Korea|Sea|Ireland|"
    r"Carolina|Dakota|"
    r"Lanes?|London|England|Germany|Atlantic|Pacific|Island|Coast|Bank|Midlands|Sussex|Virginia|"
    r"Europe|Indies))"
)
"""A point of the compass before a region: "S. America"."""
_POINTED: Final = Late(
    r"([NSEW])(?=[,.;:?!)]|$|[ \u00a0](?:and|then|of|from|to|along|until|for|before)\b)"
)
_TO_SIDE: Final = Late(r"[LR](?=[,.;]|$|[ \u00a0](?:at|onto|and|then|past|by|after|on)\b)")
_OTHER_SIDE: Final = Late(r"\b[Tt]urn [LR] [a-z][a-z ]{2,40},? (?:and|then) $")
"""After a turn the second of two: "turn L at the lights and R at the pub"."""
_WALKED: Final = Late(
    r"\b(?:I|US|Hwy|Route|Rte\.?)[- ]?\d+[ ]$|\d[ \u00a0]?(?:km|m|miles?|mi|paces|metres|meters|"
    r"yards|blocks|steps|nmi|°)[ \u00a0](?:due )?$|"
    r"\b(?:runs|[Gg]o|[Hh]ead|heads|flows?|facing|sails?|travels?|due|turns?|walks?|"
    r"drives?|[Tt]urn|[Ww]alk|[Ss]ail|[Dd]rive|flies|fly|blows|moves?|km,? then)[ \u00a0]$"
)
_SPELLED: Final = Late(r"[A-Z](?:-[A-Z])+(?![\w-])|[A-Z](?:–[A-Z]){2,}(?![\w–])")
_PART_WORD: Final = Late(r"[ \u00a0](?:half|a (?:half|third|quarter|fifth|tenth|dozen|hundred))\b")
_FIGURE: Final = Late(r"[ \u00a0]?(?:[−-]?\d|[ivxlc]+(?!\w)|[IVXLC]+(?!\w)|[A-Z]{1,2}\d|AD[ ]\d)")
_LONE_LETTER: Final = Late(r"[ \u00a0][A-Z](?![\w’'])")
_NUMBER_WORD: Final = Late(
    r"[ \u00a0](?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|"
    r"fifteen|sixteen|seventeen|eighteen|nineteen|twenty|thirty|forty|fifty)(?!\w)"
)


@cache
def _pattern(language: Language, table: str) -> re.Pattern[str]:
    keys = sorted(language.table(table), key=len, reverse=True)
    return re.compile(rf"(?:{'|'.join(map(re.escape, keys))})(?![^\W\d]|/)" if keys else "(?!)")


def _among_letters(text: str, at: int, end: int) -> bool:
    """Return whether a letter that may be an abbreviation stands in a row of them: ‘F Q X P’."""
    if end - at != 1 or not _LONE_LETTER.match(text, end):
        return False
    lone_before = at >= 2 and text[at - 1] in " \u00a0" and text[at - 2].isupper()
    before = text[at - 3] if at >= 3 else " "
    return (lone_before and not before.isalnum()) or bool(_LONE_LETTER.match(text, end + 2))


def read(scan: Scan, at: int) -> Reading | None:
    """Read an abbreviation that begins at `at`, the beginning of a word."""
    before_figure = _pattern(scan.language, "abbreviations_before_figures").match(scan.text, at)
    if before_figure and _among_letters(scan.text, at, before_figure.end()):
        before_figure = None
    if before_figure and (
        _FIGURE.match(scan.text, before_figure.end())
        or (
            before_figure[0][-1] == "."
            and len(before_figure[0]) > 1
            and _NUMBER_WORD.match(scan.text, before_figure.end())
        )
    ):
        if before_figure[0] in scan.language.table("two_meanings") and (told := _told(scan, at)):
            return told
        table = scan.language.table("abbreviations_before_figures")
        closed_up = not scan.text[before_figure.end()].isspace()
        joint = " " if closed_up else ""
        if closed_up and before_figure[0][-1].isalnum():
            return None
        return Reading(before_figure.end(), table[before_figure[0]] + joint, "abbreviation")
    if not scan.text[at].isalpha():
        return None
    if (titles := _TITLES.match(scan.text, at)) is not None and scan.language.table("slashes"):
        known = scan.language.table("abbreviations")
        names = (str(known.get(one, known.get(f"{one}.", one))) for one in titles[0].split("/"))
        either = f" {scan.language.table('slashes')['or']} "
        is_last = titles[0][-1] == "." and not scan.text[titles.end() :].strip("\"”’') ")
        words = either.join(names) + ("." if is_last else "")
        return Reading(titles.end(), words, "abbreviation")
    if (found := _mentioned(scan, at) or _dotted_unit(scan, at)) is not None:
        return found
    rules = scan.language.table("abbreviation_rules")
    if (
        before_figure
        and before_figure[0].endswith(".")
        and (
            scan.word_before(at) in rules.get("named", ())
            or re.search(r"\d(?:st|nd|rd|th) $", scan.text[max(0, at - 6) : at])
        )
        and before_figure[0] not in rules["never_named"]
    ):
        rest = scan.text[before_figure.end() :]
        words = scan.language.table("abbreviations_before_figures")[before_figure[0]]
        ends = "" if rest.strip("\"”’') ") else "."
        return Reading(before_figure.end(), words + ends, "abbreviation")
    return (
        _told(scan, at)
        or _of_a_road(scan, at)
        or _known(scan, at)
        or _joined(scan, at)
        or _initials(scan, at)
        or _spelled(scan, at)
    )


_TITLES: Final = Late(r"(?:Mr|Mrs|Ms|Mx|Miss)\.?(?:/(?:Mrs?|Ms|Mx|Miss|Dr)\.?)+(?![\w/])")
"""Titles to choose from: `Mr/Mrs/Ms`."""
_MENTIONED: Final = Late(
    r"[‘“\"']?([A-Z][a-z]{1,2}|[a-z]\.[a-z]\.|[A-Z]{2,4})[’”\"']? "
    r"(?=(?:is|are) (?:short for|an abbreviation|the abbreviation)|stands? for)"
)
_MEANS: Final = Late(r"([A-Z][a-z]|[A-Z]{2,4}|[a-z]\.[a-z]\.)(?=[’”\"']? (?:stand for|short for))")


def _mentioned(scan: Scan, at: int) -> Reading | None:
    """Read an abbreviation that the sentence speaks of by its letters: "Dr is short for …"."""
    if scan.language.tag != "en":
        return None
    found = _MENTIONED.match(scan.text, at)
    asked = _MEANS.match(scan.text, at) if found is None else None
    if asked is not None and scan.word_before(at) in {"does", "do", "is", "what", "was"}:
        found = asked
    if found is None or not _is_short(scan, found[1]):
        return None
    return Reading(found.end(1), named(" ".join(found[1].replace(".", "").upper())), "letters")


def _is_short(scan: Scan, written: str) -> bool:
    """Say whether letters are an abbreviation that the tables know, or capitals."""
    known = (scan.language.table(name) for name in ("abbreviations", "two_meanings"))
    return (
        written.isupper()
        or "." in written
        or any(written in table or f"{written}." in table for table in known)
    )


_UNIT: Final = Late(r"([a-z]{2,5})\.(?!\w)")


def _dotted_unit(scan: Scan, at: int) -> Reading | None:
    """Read a unit with a full stop after a number in words: "twelve min."."""
    before = scan.word_before(at)
    found = (
        _UNIT.match(scan.text, at) if before in scan.language.listed("amounts", "ones") else None
    )
    unit = None if found is None else scan.language.units.get(found[1])
    if found is None or unit is None or found[1] in {"in", "am"}:
        return None
    ends = "" if scan.text[found.end() :].strip("\"”’') ") else "."
    return Reading(
        found.end(), (unit.one if before in {"one", "half"} else unit.many) + ends, "measure"
    )


def figures(scan: Scan, at: int) -> Reading | None:
    """Read figures with a fixed reading: `24/7`."""
    found = _pattern(scan.language, "figures_known").match(scan.text, at)
    if found is None or scan.text[found.end() : found.end() + 1].isdigit():
        return None
    if scan.word_before(at) == "ratio":
        return None  # its terms are said with "to"
    return Reading(found.end(), scan.language.table("figures_known")[found[0]], "abbreviation")


def _known(scan: Scan, at: int) -> Reading | None:
    found = _pattern(scan.language, "abbreviations").match(scan.text, at)
    if found is None:
        return None
    written, rest = found[0], scan.text[found.end() :]
    rules = scan.language.table("abbreviation_rules")
    if written == "c." and re.search(r"\d(?:st|nd|rd|th)[ \u00a0]$", scan.text[:at]):
        return Reading(found.end(), scan.language.word("century") or written, "abbreviation")
    counted = _FIGURE.match(scan.text, found.end()) or _PART_WORD.match(scan.text, found.end())
    if written in rules.get("before_figures", ()) and not counted:
        return None
    if written in rules.get("after_figures", ()) and not re.search(
        r"\d[ \u00a0]?$", scan.text[:at]
    ):
        return None
    if written in rules.get("inside", ()) and not rest.strip("\"”’') "):
        return None  # a word that ends the sentence: "He is est."
    determined = scan.word_before(at) in rules.get("named", ())
    if (
        written in rules.get("before_names", ())
        and not determined
        and not re.match(r"[ \u00a0][A-Z]|-[a-z]{3,}", rest)
        and not (written in {"nr", "nr."} and rest.startswith(" the "))
    ):
        return None
    if written in rules.get("places", ()) and not (
        scan.word_before(at) in rules["before_places"] or re.search(r",[ \u00a0]$", scan.text[:at])
    ):
        return None
    if written in rules.get("after_names", ()) and not _AFTER_NAME.search(scan.text[:at]):
        return None
    if written in rules.get("dates", ()) and not (
        re.search(r"(?:[(,;]|\bwas|\bwere)\s*$", scan.text[:at])
        and re.match(r"[ \u00a0]?(?:c\.[ \u00a0]?|in |on |at )?(?:\d|[A-Z])", rest)
    ):
        return None
    if written == "Mr" and re.match(r" of\b|\(|\)", rest):
        return Reading(found.end(), "M R", "letters")  # the relative molecular mass
    words = named(scan.language.table("abbreviations")[written])
    if words.endswith("s") and re.search(r"(?<![\d.,])1[ \u00a0]?$", scan.text[:at]):
        words = scan.language.table("abbreviation_ones").get(written, words)
    if written == words or (
        scan.is_formula and not written.endswith(".") and re.match(r"[ \u00a0]?=", rest)
    ):
        return None
    if not scan.text[:at].strip("“‘\"'( ") and words[0].islower() and written[0].isupper():
        words = words[0].upper() + words[1:]
    if written.endswith(".") and not rest.strip("\"”’') "):
        words += "."  # the dot ends the sentence too
    return Reading(found.end(), words, "abbreviation")


_AFTER_NAME: Final = Late(r"(?:[A-Z][\w’']+,?|\d(?:st|nd|rd|th)|&)[ \u00a0]$")


def _told(scan: Scan, at: int) -> Reading | None:
    """Read what means two things by the words beside it: "St", "Dr", "m."."""
    table = scan.language.table("two_meanings")
    found = _pattern(scan.language, "two_meanings").match(scan.text, at)
    if found is None:
        return None
    written, end = found[0], found.end()
    if scan.text[end : end + 1].isalnum():
        return None
    if not written.endswith(".") and scan.text[end : end + 1] == "." and _drops_dot(scan, end):
        end += 1
    meant = table[written]
    told = scan.decide(written, at, end) or scan.decide(written, at, found.end())
    is_last = not scan.text[end:].strip("\"”’') ")
    ends = "." if scan.text[end - 1] == "." and is_last else ""
    if told is not None:
        because = told.told(written)
        return Reading(end, told.reads + ends, "abbreviation", because=because)
    if not meant:
        return None
    doubt = scan.doubt(at, end, *(("", one) for one in meant))
    return Reading(end, meant[0] + ends, "abbreviation", (doubt,) if len(meant) > 1 else ())


def _of_a_road(scan: Scan, at: int) -> Reading | None:
    """Read the point of the compass in "1205 W. Maple Street"."""
    found = _COMPASS.match(scan.text, at)
    names = scan.language.table("compass")
    axis = _AXIS.match(scan.text, at)
    if axis is not None and names:
        words = f"{names[axis[1]]} {scan.language.word('to')} {names[axis[2]]}"
        return Reading(axis.end(), words, "abbreviation")
    region = _REGION.match(scan.text, at)
    if region is not None and names:
        name = names[region[1]]
        return Reading(region.end(1) + 1, name[0].upper() + name[1:], "abbreviation")
    lone = _POINTED.match(scan.text, at)
    if lone is not None and names and _WALKED.search(scan.text[max(0, at - 16) : at]):
        return Reading(lone.end(1), names[lone[1]], "abbreviation")
    turn = _TO_SIDE.match(scan.text, at)
    sides = scan.language.table("sides")
    if turn is not None and sides and re.search(r"\b[Tt]urn $", scan.text[max(0, at - 6) : at]):
        return Reading(turn.end(), sides[turn[0]], "abbreviation")
    if turn is not None and sides and _OTHER_SIDE.search(scan.text[:at]):
        return Reading(turn.end(), sides[turn[0]], "abbreviation")
    numbered = found is not None and re.match(
        r"[ \u00a0]\d+(?:st|nd|rd|th)", scan.text[found.end() :]
    )
    if (turned := _TURNED.match(scan.text, at)) is not None and names:
        return Reading(turned.end(), names[turned[0]], "abbreviation")
    if (
        (side_of := _SIDE_OF.match(scan.text, at)) is not None
        and names
        and re.search(
            r"\b(?:and|or|is|are|was|lies|lie|just|due|far|miles|km|stands) $",
            scan.text[max(0, at - 8) : at],
        )
    ):
        return Reading(side_of.end(), names[side_of[0]], "abbreviation")
    side = _SIDE.match(scan.text, at)
    if side is not None and names:
        return Reading(side.end(), names[side[0]], "abbreviation")
    pointing = re.compile(r"([NS][EW]|[NSEW])(?=[ \u00a0]of\b)|([NS][EW])(?![\w’'])").match(
        scan.text, at
    )
    if pointing is not None and names:
        after_measure = re.search(
            r"\d[ \u00a0]?[a-zµ/²]+[ \u00a0]$", scan.text[max(0, at - 12) : at]
        )
        if (pointing[1] and (len(pointing[1]) == 2 or after_measure)) or after_measure:
            return Reading(pointing.end(), names[pointing[1] or pointing[2]], "abbreviation")
    if (
        found is None
        or not names
        or not (numbered or _HOUSE.search(scan.text[max(0, at - 8) : at]))
    ):
        return None
    if not found[0].endswith(".") and not re.search(
        r"\b(?:St|Ave|Rd|Blvd|Dr|Ln|Street|Avenue|Road|Drive|Lane)\b", scan.text
    ):
        return None
    name = names[found[1]]
    return Reading(found.end(), name[0].upper() + name[1:], "abbreviation")


def _drops_dot(scan: Scan, end: int) -> bool:
    """Say whether a full stop belongs to the abbreviation before it."""
    return scan.text[end] == "."


def _joined(scan: Scan, at: int) -> Reading | None:
    """Read capitals with & between them: "A&E"."""
    found = re.compile(r"([A-Z]{1,3})[ \u00a0]?&[ \u00a0]?([A-Z]{1,3})(s?)(?!\w)").match(
        scan.text, at
    )
    sign = scan.language.table("lone_signs").get("&")
    if found is None or not sign:
        return None
    return Reading(
        found.end(), named(f"{' '.join(found[1])} {sign} {' '.join(found[2])}{found[3]}"), "letters"
    )


def _initials(scan: Scan, at: int) -> Reading | None:
    """Read "J. R." before a name, and other dotted letters, without their dots."""
    found = _INITIALS.match(scan.text, at)
    if found and found[0].startswith("I. ") and re.search(r"[a-z]{2,} $", scan.text[:at]):
        return None  # "It was not I. It was he."
    if found and scan.language.tag == "en":
        named_so = scan.language.table("letters")["before"]
        if len(found[0].rstrip()) == 2 and scan.word_before(at) in named_so:
            return None
        gap = " " if found[0][-1].isspace() else ""
        return Reading(found.end(), named(" ".join(re.findall("[A-Z]", found[0]))) + gap, "letters")
    dotted = _DOTTED.match(scan.text, at)
    if dotted and scan.language.tag == "en":
        ends = "." if not scan.text[dotted.end() :].strip("\"”’') ") else ""
        letters = " ".join(dotted[0].replace(".", "").upper())
        return Reading(dotted.end(), named(letters) + ends, "letters")
    return None


def _spelled(scan: Scan, at: int) -> Reading | None:
    """Read "C-A-T" letter by letter."""
    found = _SPELLED.match(scan.text, at)
    if found is not None and found[0] == "A-Z":
        return Reading(found.end(), named(f"A {scan.language.word('to')} Z"), "letters")
    if found is None or not scan.language.has("letters"):
        return None
    return Reading(found.end(), named(re.sub("[–-]", ", ", found[0])), "letters")


_WORD_LIKE: Final = Late("[^AEIOU][AEIOUY][^AEIOU]")


def initialism(scan: Scan, at: int, word: str) -> Reading | None:
    """Read a word in capitals that is said letter by letter."""
    table = scan.language.table("as_words")
    if not table or len(word) < 2 or word in table["words"]:
        return None
    if scan.text.isupper() and len(scan.text.split()) > 2:
        return None  # a whole sentence in capitals
    plural = (
        scan.text[at + len(word) : at + len(word) + 1] == "s"
        and not scan.text[at + len(word) + 1 : at + len(word) + 2].isalnum()
    )
    if len(word) <= 5 and len(set(word)) == len(word) and scan.mentions("geometry"):
        return Reading(at + len(word), named(" ".join(word)), "letters")
    vowelless = not set(word) & set("AEIOUY") and len(word) <= 5
    odd = (
        len(word) == 2 and word.lower() not in scan.language.listed("maths", "little_words")
    ) or (len(word) == 3 and word not in table.get("common", ()) and not _WORD_LIKE.fullmatch(word))
    odd = odd and re.match(r"-[a-z]", scan.text[at + len(word) :]) is None
    if word in table["letters"] or vowelless or odd:
        letters = named(" ".join(word))
        return Reading(at + len(word) + plural, f"{letters}s" if plural else letters, "letters")
    return None
