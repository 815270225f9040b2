"""Scripts beyond all measure get an answer within seconds: a plain sentence at its place."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from pausewright.problems import ScriptError
from pausewright.script.limits import MOST_CHARACTERS, MOST_IN_PARAGRAPH, MOST_LINES
from pausewright.script.reader import read
from pausewright.wording.worded import Worded
from support.amounts import IS_LONG_SET

FILE = Path("test.md")
SETTINGS = "---\ntitle: T\nlanguage: en-GB\nanswer-time: 5 s\n"
HEAD = f"{SETTINGS}---\n\n"
END = "\n\nThat is all.\n"
N = 10_000


def nested(opening: str, closing: str, n: int) -> str:
    """Return a word with `n` openings before and closings behind it, in paragraphs of 4,000."""
    each = max(1, 4000 // (len(opening) + len(closing)))
    one = f"{opening * each}a{closing * each}"
    return f"{HEAD}1. A {f'{END}1. A '.join([one] * max(1, n // each))}{END}"


HUGE = {
    "a line of 10 MB": f"{HEAD}1. {'word ' * 2_000_000}{END}",
    "a number of 10 MB": f"{HEAD}1. {'7' * 10_000_000}{END}",
    "100,000 questions": HEAD + "".join(f"{i}. Write it.\n\n" for i in range(1, 100_001)),
    "100,000 open brackets": f"{HEAD}1. {'[' * 100_000}{END}",
    "10,000 nested stars": nested("*", "*", N),
    "10,000 nested stars in a line": f"{HEAD}1. {'*' * N}a{'*' * N}{END}",
    "10,000 nested brackets": nested("[", ']{say="b"}', N),
    "10,000 nested quotes": f"{HEAD}{'> ' * N}a{END}",
    "2,400 nested quotes": f"{HEAD}{'> ' * 2400}a{END}",
    "10,000 nested lists": f"{HEAD}{'- ' * N}a{END}",
    "2,400 nested lists": f"{HEAD}{'- ' * 2400}a{END}",
    "10,000 nested blocks": f"{HEAD}{f'::: passage{chr(10)}' * N}a\n{f':::{chr(10)}' * N}",
    "4,900 nested blocks": f"{HEAD}{f'::: passage{chr(10)}' * 4900}a\n{f':::{chr(10)}' * 4900}",
    "10,000 nested YAML lists": f"{SETTINGS}x: {'[' * N}{']' * N}\n---\n\n1. A{END}",
    "2,400 nested YAML lists": f"{SETTINGS}x: {'[' * 2400}{']' * 2400}\n---\n\n1. A{END}",
    "600 nested YAML levels": SETTINGS
    + "".join(f"{' ' * i}a:\n" for i in range(600))
    + f"---\n\n1. A{END}",
    "50,000 unknown settings": SETTINGS
    + "".join(f"setting{i}: 1\n" for i in range(50_000))
    + f"---\n\n1. A{END}",
    "4,900 unknown settings": SETTINGS
    + "".join(f"setting{i}: 1\n" for i in range(4_900))
    + f"---\n\n1. A{END}",
    "numbers of 5,000 digits": f"{HEAD}1. Write {'7' * 4900} {{answer-time=\"{'7' * 40} s\"}}\n\n"
    f"2. {'7,' * 2400}7 km, 1/{'2' * 2000}. {{answer-time=\"{'7' * 2900} s\"}}{END}",
    "a setting of 4,900 digits": SETTINGS.replace("5 s", f"{'7' * 4900} s") + f"---\n\n1. A{END}",
    "an endless test": HEAD
    + "".join(f"{i}. A {{readings=9}}\n\n" for i in range(1, 4000))
    + f'::: again {{questions="1-999"}}\nOnce more.\n:::{END}',
    "2,000 statements": HEAD
    + "".join(
        f'You have [5 seconds]{{states="answer-time"}} for it.\n\n{i}. {{kay}}\n\n'
        for i in range(1, 2_001)
    ),
    "control characters": f"{HEAD}1. A {chr(27) * 4900}{END}",
    "comments": f"{HEAD}{f'<!-- a -->{chr(10)}' * 9000}",
}  # fmt: skip


@pytest.mark.parametrize("name", HUGE)
def test_an_answer_comes_within_bounds(name: str, tmp_path: Path) -> None:
    """Exit code 2, at most 100 problems, 10 s of processor time, 500 MB, and little output."""
    commands = [["outline"], ["wording"], ["tidy"], ["compare"], ["build"]]
    script = tmp_path / "test.md"
    script.write_text(HUGE[name], encoding="utf-8")
    for command in commands if IS_LONG_SET else commands[:1]:
        program = [sys.executable, "-c", _MEASURED, *command, str(script)]
        done = subprocess.run(program, capture_output=True, check=False, cwd=tmp_path)

        *_, measured = done.stderr.decode().splitlines()
        took_s, peak_mb = json.loads(measured)
        assert done.returncode == 2, done.stderr[:500]
        assert len(done.stdout) + len(done.stderr) < 100_000
        assert took_s < 10
        assert peak_mb < 500


_MEASURED = """
import json, sys, time
from pausewright.cli import main
try:
    main()
finally:
    peak_mb = 0
    if sys.platform == "linux":  # ru_maxrss counts whoever started this process
        rows = open("/proc/self/status").read().splitlines()
        peak_mb = next(int(row.split()[1]) for row in rows if row.startswith("VmHWM")) / 1024
    elif sys.platform != "win32":
        import resource
        unit = 1 << 20 if sys.platform == "darwin" else 1 << 10
        peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / unit
    sys.stderr.write("\\n" + json.dumps([time.process_time(), peak_mb]))
"""


@pytest.mark.parametrize(
    ("text", "line", "column", "message"),
    [
        ("1. " + "a" * 6000, 7, 5001, "this line has 6,003 characters, and a line holds at most"),
        ("1. A\n\n    " + "a\n    b " * 1300, 9, 5, "this paragraph has 5,199 characters, and"),
        ("1. " + "*a " * 25 + "a*" * 25, 7, 1, "emphasis and brackets stand more than 20 deep"),
    ],
)
def test_what_is_too_much_is_told_at_its_place(
    text: str, line: int, column: int, message: str
) -> None:
    """What stands beside it is read as ever."""
    problems = read(FILE, f'{HEAD}{text}\n\n2. Write it. {{kay="5"}}{END}').problems

    first, *others = [(p.place.line, p.place.column, p.message) for p in problems]
    assert first[:2] == (line, column)
    assert first[2].startswith(message)
    assert [message for _, _, message in others] == ["‘kay’ is not an attribute"]


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("\n" * MOST_LINES, MOST_LINES + 1, "this file has 10,007 lines, and 10,000 are read"),
        (f"{'a' * 4000}\n\n" * 60, 56, f"characters, and {MOST_CHARACTERS:,} are read at most"),
    ],
)  # fmt: skip
def test_a_file_that_is_too_long_is_told_where_it_becomes_so(
    text: str, line: int, message: str
) -> None:
    """Nothing of it is read."""
    with pytest.raises(ScriptError) as caught:
        read(FILE, HEAD + text)

    (problem,) = caught.value.problems
    assert message in problem.message
    assert abs(problem.place.line - line) <= 60


def test_a_script_at_its_limits_is_read() -> None:
    """A paragraph, a number of lines and digits that are allowed give no problem."""
    sentence = "The ferry leaves at ten. "
    longest = (sentence * 400)[: MOST_IN_PARAGRAPH - 10].rstrip() + "."
    questions = "".join(f"{i}. Write it.\n\n" for i in range(1, 2_001))
    reading = read(FILE, f"{HEAD}{longest}\n\n{questions}{END}")

    assert reading.problems == ()
    assert len(Worded(reading.script).problems.errors) == 0


def test_includes_count_together(tmp_path: Path) -> None:
    """A file that is included often cannot make a script endless."""
    (tmp_path / "more.md").write_text("Listen.\n\n" * 2_000, encoding="utf-8")
    script = tmp_path / "test.md"
    script.write_text(HEAD + "[More](more.md){.include}\n\n" * 50 + END, encoding="utf-8")

    problems = read(script).problems

    assert {p.message.partition(" the script")[0] for p in problems} == {"with ‘more.md’"}
    assert len(problems) == 48


def test_a_name_with_a_nought_byte_names_no_lexicon() -> None:
    """YAML can write a control character; no file has it in its name."""
    problems = read(FILE, f'{SETTINGS}lexicon: "a\\0b"\n---\n\n1. A.{END}').problems

    message = "the lexicon ‘a\0b’ has a name that no file can have"
    assert [p.message for p in problems] == [message]


def test_a_dictation_without_a_phrase_is_told() -> None:
    """Its order ends in a phrase that is not there."""
    block = '::: dictation {order="phrases" phrase-time="10 s"}\n:::'
    problems = read(FILE, f"{HEAD}{block}{END}").problems

    assert "this dictation has no phrases" in {p.message for p in problems}


@pytest.mark.parametrize(
    "written",
    ["10^{}", "{}th", "{} km", "1/{}", "£{}", "x^{}", '[{}]{{as="year"}}', "{}:30", "M{}"],
)
@pytest.mark.parametrize("n_digits", [19, 400, 4_600])
def test_numbers_without_words_are_told(written: str, n_digits: int) -> None:
    """No number is too long for a plain sentence, wherever it stands."""
    text = written.format("7" * n_digits)
    reading = read(FILE, f"{HEAD}1. Write {text} now.{END}")
    worded = Worded(reading.script)

    assert [p.message for p in reading.problems] == []
    assert worded.problems.errors or "7" not in str(worded.all_elements())


@pytest.mark.parametrize("kind", ["readings", "last-reading", "answer-time", "questions"])
def test_stated_numbers_may_be_of_any_length(kind: str) -> None:
    """What is stated with thousands of digits is no value that could be compared."""
    unit = " seconds" if kind == "answer-time" else ""
    problems = read(FILE, f'{HEAD}1. [{"7" * 4_600}{unit}]{{states="{kind}"}} A.{END}').problems

    assert [p.code for p in problems] == ["states-unreadable"]


def test_a_pattern_that_says_nothing_is_told() -> None:
    """Its words may name a paragraph whose brackets were refused."""
    settings = SETTINGS + 'patterns:\n  word: [{say: "{1}"}]\n'
    reading = read(FILE, f'{settings}---\n\n1. [a]{{kay="5"}} {{pattern="word"}}{END}')
    Worded(reading.script)

    assert "‘kay’ is not an attribute" in {p.message for p in reading.problems}


def test_long_names_are_refused_before_work_begins(tmp_path: Path) -> None:
    """A script whose results could have no name says so, and nothing is written."""
    script = tmp_path / f"{'n' * 240}.md"
    script.write_text(f"{HEAD}1. A.{END}", encoding="utf-8")
    program = [sys.executable, "-m", "pausewright", "build", str(script)]
    done = subprocess.run(
        program, capture_output=True, check=False, cwd=tmp_path, env=os.environ | {"COLUMNS": "80"}
    )

    assert done.returncode == 2
    assert "has 240 bytes, and results can have 200 at most" in done.stderr.decode()
    assert [one.name for one in tmp_path.iterdir()] == [script.name]
