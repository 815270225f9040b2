"""The table of licences and the question about known vulnerabilities, on invented packages."""

from __future__ import annotations

from importlib.metadata import Distribution
from typing import TYPE_CHECKING

import audit
import pytest
from audit import Package, Told

if TYPE_CHECKING:
    from pathlib import Path

PACKAGES = [Package("one", "1.0", "MIT"), Package("two", "2.0", "BSD-3-Clause")]


@pytest.mark.parametrize(
    ("licence", "goes"),
    [
        ("MIT", True),
        ("BSD-3-Clause AND Zlib", True),
        ("MIT AND SSPL-1.0", False),
        ("GPL-2.0-only", False),
        ("GPL-2.0-only OR Apache-2.0", True),
        ("(MIT OR SSPL-1.0) AND ISC", False),  # a person must look at it
        ("Proprietary", False),
        ("", False),
    ],
)
def test_licences_go_with_ours_or_not(licence: str, goes: bool) -> None:  # noqa: FBT001  a table
    """All of what holds together must be compatible; of a choice one is enough."""
    assert audit.goes_with_ours(licence) is goes


@pytest.mark.parametrize(
    ("fields", "licence"),
    [
        ([("License-Expression", "ISC"), ("License", "other")], "ISC"),
        ([("License", "MIT License")], "MIT"),
        ([("License", "A whole text\n  of many lines")], ""),
        (
            [("License", ""), ("Classifier", "License :: OSI Approved :: BSD License")],
            "BSD-3-Clause",
        ),
        ([("License", "Ours alone")], "Ours alone"),
        ([], ""),
    ],
)
def test_what_metadata_states(tmp_path: Path, fields: list[tuple[str, str]], licence: str) -> None:
    """An SPDX expression counts first, then a short name, then a classifier."""
    rows = [f"{key}: {value}" for key, value in (("Name", "one"), *fields)]
    (tmp_path / "METADATA").write_text("\n".join(rows) + "\n\n", encoding="utf-8")

    assert audit.stated(Distribution.at(tmp_path).metadata) == licence


def test_a_licence_that_does_not_go_is_a_problem(capsys: pytest.CaptureFixture[str]) -> None:
    """It is marked, counted in the last line, and the run fails."""
    assert audit.licences(PACKAGES) == 0
    assert audit.licences([*PACKAGES, Package("three", "3.0", "")]) == 1

    *_, row, last = capsys.readouterr().out.splitlines()
    assert row.split() == ["three", "3.0", "states", "none", "PROBLEM"]
    assert last == "1 of 3 licences do not go with GPL-3.0-or-later"


def test_what_the_product_installs_is_looked_at() -> None:
    """Dependencies of dependencies are in the table; tools of the developers are not."""
    names = {one.name for one in audit.installed(audit.required())}

    assert {"onnxruntime", "protobuf", "markupsafe"} <= names
    assert not {"pytest", "mypy", "pausewright"} & names


@pytest.mark.parametrize(
    ("answers", "code", "last"),
    [
        ({}, 0, "no service for known vulnerabilities could be asked"),
        ({"pypi": [{"name": "one", "version": "1.0"}]}, 0, "no service for known vulnerabilities"),
        ({"osv": [{"name": "one", "version": "1.0", "vulns": []}]}, 0,
         "0 known vulnerabilities in 1 packages, by osv; it does not know 1 packages"),
        ({"pypi": [{"name": "one", "version": "1.0",
                    "vulns": [{"id": "X-1", "fix_versions": ["1.1"]}]}]}, 1,
         "1 known vulnerabilities in 1 packages, by pypi"),
    ],
)  # fmt: skip
def test_services_are_asked_in_turn(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    answers: dict[str, list[Told]], code: int, last: str,
) -> None:  # fmt: skip
    """Where none answers that is said and nothing fails; a known vulnerability fails."""
    monkeypatch.setattr(audit, "_answer", lambda _asked, service: answers.get(service, []))

    assert audit.known(PACKAGES) == code
    assert capsys.readouterr().out.splitlines()[-1].startswith(last)
