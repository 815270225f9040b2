"""Findings by cause: what follows from what, told once, and nothing lost or hidden."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from hypothesis import given, settings
from hypothesis import strategies as st
from pausewright.checker.result.causes import causes
from pausewright.checker.result.codes import codes
from pausewright.checker.result.delivered import Delivered, Room
from pausewright.checker.result.findings import Finding
from pausewright.checker.result.items import Asked
from pausewright.checker.result.shared_causes import shared_causes
from pausewright.checker.result.told_causes import told
from pausewright.problems import Place
from pausewright.script.references import QuestionRef

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.checker.result.shared_causes import SharedCause
    from pausewright.problems import Severity


def asked(number: int) -> Asked:
    """Return a question."""
    return Asked(QuestionRef(number))


def found(
    code: str,
    at_s: str | None = None,
    number: int | None = None,
    *,
    off_s: str | None = None,
    measured_s: str | None = None,
    severity: Severity = "error",
    sentence: str = "",
) -> Finding:
    """Return a finding."""
    return Finding(
        code,
        severity,
        sentence or code,
        "",
        at_s=None if at_s is None else Fraction(at_s),
        question=None if number is None else asked(number),
        difference=None if off_s is None else Fraction(off_s),
        measured=None if measured_s is None else Fraction(measured_s),
        unit="" if off_s is None and measured_s is None else "s",
    )


def heads(findings: Iterable[Finding]) -> list[str]:
    """Return the codes of the heads of all causes."""
    return [cause.head.code for cause in causes(list(findings))]


def test_a_missing_question_moves_everything_after_it() -> None:
    """The worked example of the issue: 24.6 s early, 14 markers follow, in one sentence."""
    lost = found("question-missing", "431", 8, sentence="question 8 is not on the track")
    markers = [found("chapter-off", str(432 + 30 * n), 9 + n, off_s="24.6") for n in range(14)]
    (cause,) = causes([*markers[:5], lost, *markers[5:]])

    assert cause.head is lost
    assert cause.shift_s == Fraction("24.6")
    assert told(cause) == (
        "question 8 is not on the track; everything after it is 24.600 s early; "
        "14 markers follow from it"
    )


def test_what_lies_before_a_change_or_is_off_otherwise_does_not_follow() -> None:
    """A marker long before the silence, or off by another time, is a cause of its own."""
    short = found("silence-short", "60", 3, off_s="-0.5", measured_s="2")
    early = found("chapter-off", "20", 1, off_s="0.5")
    other = found("chapter-off", "90", 5, off_s="3")
    follows = found("chapter-off", "80", 4, off_s="0.5")
    by_head = {cause.head.code: cause for cause in causes([short, early, other, follows])}

    assert by_head["silence-short"].follows == (follows,)
    assert len(causes([short, early, other, follows])) == 3


def test_a_leak_never_hides_under_another_fault() -> None:
    """A caption that shows what is heard nowhere, or may not be shown, stays a head of its own."""
    lost = found("question-missing", "30", 2)
    moved = found("caption-words", "40", off_s="12")
    leak = found("caption-words", "50")
    withheld = found("caption-withheld", "60", 4)
    assert sorted(heads([lost, moved, leak, withheld])) == [
        "caption-withheld",
        "caption-words",
        "question-missing",
    ]


def test_captions_of_lost_words_follow_from_their_loss() -> None:
    """A caption whose words belong to the missing sound, by its place, is no cause of its own."""
    place = Place(Path("t.md"), 12, 1)
    lost = replace(found("sound-missing", "30"), place=place)
    caption = replace(found("caption-words", "31"), place=place)
    assert heads([lost, caption]) == ["sound-missing"]


def test_two_faults_far_from_each_other_are_two_causes() -> None:
    """A dropout at one question has nothing to do with a short silence at another."""
    findings = [
        found("dropout", "20", 1),
        found("silence-short", "60", 4, off_s="-0.4", measured_s="2"),
    ]
    assert heads(findings) == ["dropout", "silence-short"]


def test_time_that_was_moved_is_one_cause() -> None:
    """What one silence lost another has: told once, and a third silence by itself."""
    findings = [
        found("silence-short", "20", 1, off_s="-0.4", measured_s="2"),
        found("silence-long", "60", 4, off_s="0.4", measured_s="3"),
        found("silence-long", "90", 6, off_s="0.9", measured_s="3"),
    ]
    assert heads(findings) == ["silence-short", "silence-long"]


def test_captions_that_are_all_off_alike_are_one_cause() -> None:
    """Where the sound is right, shifted captions and what they bring about are one."""
    off = [found("caption-early", str(10 * n), n, off_s="-1.2") for n in range(1, 9)]
    differ = found("captions-differ", "10")
    missing = found("caption-missing", "11", 1, severity="warning")
    assert heads([*off, differ, missing]) == ["caption-early"]


def test_a_damaged_file_explains_what_is_heard_after_it() -> None:
    """Decoding stops: what is missing behind that follows, a wrong instruction far before not."""
    findings = [
        found("decode-stopped", "100"),
        found("question-missing", "99", 7),
        found("track-ends-early", "98", 6),
        found("silence-long", "30", 2, off_s="2", measured_s="5"),
    ]
    assert sorted(heads(findings)) == ["decode-stopped", "silence-long"]


def test_a_warning_with_errors_under_it_is_told_as_an_error() -> None:
    """A cause is as grave as its gravest finding, and errors come first."""
    click = found("click", "20", 1, severity="warning")
    short = found("silence-short", "20", 1, off_s="-0.2", measured_s="1")
    mild = found("loudness", severity="warning")
    first, second = causes([mild, click, short])
    assert (first.head.code, first.severity) == ("click", "error")
    assert (second.head.code, second.severity) == ("loudness", "warning")


def test_what_a_promise_says_of_moved_captions_follows_with_them() -> None:
    """A question is lost: promises about captions that were put off by it are no more heads."""
    lost = found("question-missing", "30", 2)
    moved = found("caption-words", "40", off_s="12")
    restated = found("promise-captions", "40")
    owed = found("promise-captions", number=3, sentence="t.vtt leaves out 5 utterances")
    assert heads([lost, moved, restated, owed]) == ["question-missing"]


def test_a_promise_about_a_caption_that_nothing_moved_stays_a_head() -> None:
    """What may not be shown is a leak where no caption at its time was put off."""
    lost = found("question-missing", "30", 2)
    moved = found("caption-words", "40", off_s="12")
    leak = found("promise-captions", "50")
    assert sorted(heads([lost, moved, leak])) == ["promise-captions", "question-missing"]


def test_one_leak_in_all_files_of_captions_is_one_cause() -> None:
    """The same caption in three files, and what is owed in each, is told once each."""
    leaks = [found("promise-captions", "50", sentence=f"t.{end} shows") for end in ("vtt", "srt")]
    words = found("caption-words", "50")
    rates = [found("caption-rate", sentence=f"t.{end}: fast") for end in ("vtt", "srt")]
    assert sorted(heads([*leaks, words, *rates])) == ["caption-rate", "caption-words"]


def in_versions(*findings: Finding) -> list[SharedCause]:
    """Return the causes of a delivery in which each finding is of a version of its own."""
    rooms = [
        Room(f"version-{label}", label, "", (), (), findings=(one,))
        for label, one in zip("ABCDEFGH", findings, strict=False)
    ]
    return shared_causes(Delivered(tuple(rooms), is_folder=True))


def test_one_cause_in_five_versions_is_told_once_with_their_names() -> None:
    """The standard track's missing question is missing in every version; their times differ."""
    lost = [
        found("question-missing", str(431 + 60 * n), 8, sentence="question 8 is not on the track")
        for n in range(5)
    ]
    (cause,) = in_versions(*lost)

    assert cause.sentence == "question 8 is not on the track; in 5 versions: A, B, C, D, E"
    assert cause.cause.head is lost[0]


def test_files_of_two_versions_are_named_without_label_and_numbers_that_differ() -> None:
    """A file that changed in two versions is one cause; what is another fault is another."""
    changed = [
        replace(
            found("total-differs", off_s=str(n), sentence=f"‘test_{label}_ABC123.mp3’ is short"),
            expected=Fraction(n),
        )
        for n, label in enumerate("AB", 1)
    ]
    other = found("question-missing", "9", 8)
    first, second = in_versions(*changed, other)

    assert first.sentence == "‘test_….mp3’ is short; in 2 versions: A, B"
    assert first.cause.head.difference is None
    assert (second.cause.head, second.places) == (other, ("C",))


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(sorted(codes())),
            st.none() | st.integers(0, 300),
            st.none() | st.integers(1, 9),
            st.none() | st.integers(-40, 40),
        ),
        max_size=40,
    )
)
def test_every_finding_is_in_exactly_one_cause(
    rows: list[tuple[str, int | None, int | None, int | None]],
) -> None:
    """Whatever is found, nothing is lost and nothing told twice."""
    findings = [
        found(
            code,
            None if at is None else str(at),
            number,
            off_s=None if off is None else str(Fraction(off, 10)),
            measured_s=None if off is None else "1",
        )
        for code, at, number, off in rows
    ]
    told_of = [id(one) for cause in causes(findings) for one in cause.findings]

    assert sorted(told_of) == sorted(map(id, findings))
    assert all(told(cause) for cause in causes(findings))
