"""A draft as the text of a script that can be built, with what is doubtful marked in comments."""

from __future__ import annotations

import re
from statistics import median
from typing import TYPE_CHECKING, Final

from pausewright.drafting.draft_model import Doubt, clock
from pausewright.drafting.values import likely_ms
from pausewright.script.attributes.braces import escaped

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.drafting.draft_model import Draft, Said

TAKES_IN_LISTS: bool = True
"""Whether `from` and `to` name a place for each reading; else later readings stand in comments."""
_AROUND_MS: Final = 60
"""What is kept round speech at least, where the silence is long enough."""
_LEAST_PAUSE_MS: Final = 300
_RIGHTS: Final = (
    "# Every arrangement of a recording needs the next line. Say whose it is and what they allow,",
    "# and take the # away:",
    '# recording-rights: "…"',
)
_COMMENT_ENDS: Final = re.compile(r"-->|--!>|<!--")
_SPACES: Final = re.compile(r"\s+")
_UNREAD: Final = re.compile(r"[^\w\s.,;:?!'’+=£$€%°/()×÷−-]")


def script_text(
    draft: Draft, recording: str, title: str, language: str, is_readable: Callable[[str], bool]
) -> str:
    """Return the script.

    Parameters
    ----------
    recording : path of the recording, from the script's folder
    is_readable : whether a line can be worded
    """
    questions = draft.questions
    n_readings = _usual([len(one.readings) for one in questions]) or 1
    answer_ms = _usual([one.after_value_ms for one in questions])
    between = [ms for one in questions for ms in one.between_ms]
    between_ms = likely_ms(median(between)) if between else None
    rows = ["---", f"title: {_yaml(title)}", f"language: {language}"]
    if n_readings > 1:
        rows.append(f"readings: {n_readings}")
    if between_ms is not None:
        rows.append(f"between-readings: {_length(between_ms)}")
    if answer_ms is not None:
        rows.append(f"answer-time: {_length(answer_ms)}")
    rows += [*_RIGHTS, "---", "", _comment(_head(draft, recording)), ""]
    for doubt in draft.doubts:
        rows += [_comment(doubt.whole), ""]
    borders = _borders(draft)
    where = ""
    for one in draft.said:
        part = "Questions" if one.is_question else where or "Opening"
        if not one.is_question and where == "Questions":
            is_over = not any(other.is_question for other in draft.said[draft.said.index(one) :])
            part = "Close" if is_over else "Questions"
        if part != where:
            rows += [f"# {part}", ""]
            where = part
        rows += [line for doubt in one.doubts for line in (_comment(doubt.whole), "")]
        usual = (n_readings, between_ms, answer_ms)
        rows += [_line(one, recording, borders, usual, is_readable), ""]
    if not draft.said or draft.said[-1].is_question:
        doubt = Doubt(
            None, "the recording ends without words, so this sentence is added, in another voice"
        )
        rows += ["# Close", "", _comment(doubt.whole), "", "The test is over.", ""]
    return "\n".join(rows)


def _head(draft: Draft, recording: str) -> str:
    n = len(draft.questions)
    found = len(draft.all_doubts)
    return (
        f"A draft from {recording} ({clock(draft.length_ms)}): {n} question{'s' * (n != 1)} found. "
        f"Speech at {draft.speech_dbfs:.0f} dBFS, the room at {draft.noise_dbfs:.0f} dBFS. "
        f"{found} place{'s' * (found != 1)} to listen to, marked with their times. Compare every "
        "word, number and time with the recording before you use it."
    )


def _usual(values: Sequence[int | None]) -> int | None:
    known = [one for one in values if one is not None]
    return max(known, key=known.count) if known else None


def _borders(draft: Draft) -> dict[tuple[int, int], tuple[int, int]]:
    """Return for each reading where it is cut: beyond its edges, into the silence around it."""
    rows = [reading for one in draft.said for reading in one.readings]
    rows.sort(key=lambda reading: reading.start_ms)
    found = {}
    ends = [0, *(reading.end_ms for reading in rows)]
    starts = [*(reading.start_ms for reading in rows[1:]), draft.length_ms]
    for reading, before, after in zip(rows, ends, starts, strict=False):
        start, end = reading.start_ms, reading.end_ms
        lead = min(max(_AROUND_MS, reading.start_within_ms), max(0, start - before) // 2)
        tail = min(max(_AROUND_MS, reading.end_within_ms), max(0, after - end) // 2)
        found[start, end] = (start - lead, end + tail)
    return found


def _line(
    one: Said,
    recording: str,
    borders: dict[tuple[int, int], tuple[int, int]],
    usual: tuple[int, int | None, int | None],
    is_readable: Callable[[str], bool],
) -> str:
    first = one.readings[0]
    places = [borders[reading.start_ms, reading.end_ms] for reading in one.readings]
    listed = places if TAKES_IN_LISTS else places[:1]
    items = [
        f'{name}="{", ".join(_clock(place[side]) for place in listed)}"'
        for side, name in enumerate(("from", "to"))
    ]
    words = _words(one.words, is_readable)
    if words:
        items.append(f'words="{escaped(words)}"')
    name = f"Question {one.number}" if one.is_question else f"Speech at {clock(first.start_ms)}"
    path = f"<{recording}>" if re.search(r"[\s()]", recording) else recording
    sound = f"![{name}]({path}){{{' '.join(items)}}}"
    others = _attributes(one, usual)
    more = f" {{{' '.join(others)}}}" if others else ""
    takes = "".join(
        f" <!-- reading {i}: {_clock(a)} to {_clock(b)} -->"
        for i, (a, b) in enumerate(places, start=1)
        if i > len(listed)
    )
    return f"{one.number}. {sound}{takes}{more}" if one.is_question else f"{sound}{takes}{more}"


def _attributes(one: Said, usual: tuple[int, int | None, int | None]) -> list[str]:
    n_readings, between_ms, answer_ms = usual
    if not one.is_question:
        pause = likely_ms(one.after_ms) if one.after_ms and one.after_ms > 0 else 0
        return [f'pause-after="{_length(pause)}"'] if pause >= _LEAST_PAUSE_MS else []
    found = []
    n = len(one.readings)
    if n != n_readings:
        found.append(f'readings="{n}"')
    own = [likely_ms(ms) for ms in one.between_ms]
    if own and any(ms != between_ms for ms in own):
        is_one = len(set(own)) == 1
        found.append(
            f'between-readings="{_length(own[0]) if is_one else ", ".join(map(_length, own))}"'
        )
    if one.after_value_ms is not None and one.after_value_ms != answer_ms:
        found.append(f'answer-time="{_length(one.after_value_ms)}"')
    return found


def _words(text: str, is_readable: Callable[[str], bool]) -> str:
    """Return the words of a line, without what cannot be said."""
    plain = _SPACES.sub(" ", text.replace("\\", " ")).strip()
    if not plain or is_readable(plain):
        return plain
    plainer = _SPACES.sub(" ", _UNREAD.sub(" ", plain)).strip()
    if is_readable(plainer):
        return plainer
    letters = _SPACES.sub(" ", re.sub(r"[^\w\s]", " ", plain)).strip()
    return letters if is_readable(letters) else ""


def _comment(text: str) -> str:
    """Return a comment of one line; what would end it stands apart."""
    return f"<!-- {_COMMENT_ENDS.sub('—', _SPACES.sub(' ', text)).replace('--', '–')} -->"


def _clock(ms: int) -> str:
    minutes, left = divmod(ms, 60_000)
    return f"{minutes}:{left // 1000:02}.{left % 1000:03}"


def _length(ms: int) -> str:
    return f"{ms / 1000:g} s"


def _yaml(text: str) -> str:
    return '"' + _SPACES.sub(" ", text).replace("\\", " ").replace('"', "'") + '"'
