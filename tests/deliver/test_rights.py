"""What is confidential can be opened by its owner only, whatever the system's mask says."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.report.page import as_page, write_page
from pausewright.deliver.build import build_versions
from pausewright.deliver.caption_retime import retime
from pausewright.deliver.compare_page import compare_page
from pausewright.deliver.comparison import compare
from pausewright.deliver.needed_rooms import make_rooms
from pausewright.deliver.output_folder import write_new_text
from pausewright.deliver.project import open_project
from pausewright.deliver.recheck import recheck
from pausewright.deliver.version import made_versions
from support.scripts.short_scripts import SMALL
from support.scripts.versions import options, written

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="rights are the folder's there")
VERSIONS = """
quarter: {label: B, basis: f, extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}
slower: {label: C, basis: f, readings: 3}
"""
NEEDS = "candidate,arrangement,room\n1001,standard,Hall\n1002,quarter,Room 4\n"


@pytest.fixture(
    params=["000", *(pytest.param(one, marks=pytest.mark.long) for one in ("000 full", "022"))]
)
def mask(request: pytest.FixtureRequest) -> Iterator[int]:
    """Set the system's mask, which takes rights away from new files, for one test."""
    wanted = int(request.param.partition(" ")[0], 8)
    before = os.umask(wanted)
    yield wanted
    os.umask(before)


def is_confidential(path: Path, folder: Path) -> bool:
    """Return whether a path is for the owner only, by its name."""
    parts = path.relative_to(folder).parts
    return (
        "confidential" in parts
        or parts[0] == "rooms"
        or ".pausewright" in parts
        or path.name.endswith(("_reader-screen.html", ".pausewright-claim"))
        or path.name.startswith(("instructions_", "build-record_", "pausing-sheet_"))
        or path.name.startswith(("reader-copy_", "interpreter-copy_"))
        or "CONFIDENTIAL" in path.name
        or path.name in {"compared.html", "report.html"}
    )


def rights(folder: Path, mask: int) -> dict[str, int]:
    """Assert the rights of everything in a folder by `stat`; return those that are not normal."""
    odd = {}
    for path in sorted(folder.rglob("*")):
        found = stat.S_IMODE(path.lstat().st_mode)
        name = path.relative_to(folder).as_posix()
        if is_confidential(path, folder):
            odd[name] = found
            assert found == (0o700 if path.is_dir() else 0o600), f"{name}: {found:o}"
        else:
            normal = (0o777 if path.is_dir() else 0o666) & ~mask
            assert found == normal, f"{name}: {found:o}, not {normal:o}"
    return odd


def test_all_outputs_have_the_rights_that_they_must(
    tmp_path: Path, mask: int, request: pytest.FixtureRequest
) -> None:
    """Builds with all options, rooms, pages and captions; rooms that are laid out are private."""
    script = written(tmp_path, SMALL, VERSIONS)
    (tmp_path / "needs.csv").write_text(NEEDS, "utf-8")
    stages: list[int] = []

    def look(_: object) -> None:
        beside = (tmp_path / "out").glob(".tide.*")
        stages.extend(stat.S_IMODE(one.stat().st_mode) & 0o077 for one in beside)

    is_full = "full" in request.node.name  # all versions, all formats and videos
    made = options(
        tmp_path, progress=look, split_at_stops=True, screen="inline",
        formats=("wav", "mp3", "flac") if is_full else ("wav",),
        videos=("burned-in", "switchable") if is_full else (),
    )  # fmt: skip
    build_versions(script, made, () if is_full else ("standard", "quarter"))
    project = open_project(script, made.profiles)
    out = tmp_path / "out"
    make_rooms(project, tmp_path / "needs.csv", out, tmp_path / "rooms")
    columns = compare(project, made_versions(project), made)
    page = compare_page("Tide", project.edition, "en-GB", columns)
    write_new_text(tmp_path / "compared.html", page)
    found = recheck(out / "tide" / "version-A")
    write_page(as_page(found), tmp_path / "report.html")
    write_page(as_page(found, is_blind=True), tmp_path / "blind.html", is_blind=True)
    (captions,) = (out / "tide" / "version-A").glob("*.vtt")
    retimed = options(tmp_path, arrangement="quarter")
    retime(captions, script, retimed, tmp_path / "retimed.vtt")

    odd = rights(tmp_path, mask)
    assert any(name.endswith("_reader-screen.html") for name in odd)
    assert any("instructions_" in name and name.startswith("rooms/") for name in odd)
    assert any("room-list" in name for name in odd)
    assert any(name.startswith(".pausewright/") for name in odd)
    assert set(stages) == {0}
    assert len(stages) > 2
    open_ones = subprocess.run(
        ["find", str(tmp_path), "-perm", "/077", "(", "-path", "*/confidential*", "-o", "-path",
         "*/.pausewright*", "-o", "-name", "*CONFIDENTIAL*", "-o", "-name", "*reader-screen*",
         "-o", "-name", "build-record*", "-o", "-name", "instructions_*", ")"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert open_ones.stdout == ""


def test_what_an_older_version_left_open_is_closed(tmp_path: Path) -> None:
    """The take store and the confidential folder get their rights at the next build."""
    script = written(tmp_path, SMALL, "")
    made = options(tmp_path)
    build_versions(script, made)
    for folder in (tmp_path / ".pausewright", tmp_path / "out" / "tide" / "confidential"):
        folder.chmod(0o755)
    script.write_text(SMALL.replace("boats", "ships"), "utf-8")
    build_versions(script, made)

    rights(tmp_path, os.umask(os.umask(0o022)))
