"""Papers against Typst alone on the same sources: a part of `scripts/bench.py`.

The arithmetic demo is built in five versions, with mark schemes and clock times. All its papers are
timed as the build writes them, one version after the other, "What was measured" included. Then a
process of its own compiles what Typst was given, with the same fonts. What is compared is the time
of the processor, the least of several rounds.
"""

from __future__ import annotations

import json
import pickle
import shutil
import subprocess
import sys
from typing import TYPE_CHECKING, Final

from bench_builds import ARITHMETIC, FIVE

if TYPE_CHECKING:
    from pathlib import Path

Row = tuple[str, str, str, bool]
ROUNDS: Final = 5
MOST: Final = 1.5

_OURS: Final = """
import json, pickle, sys, time
from pathlib import Path
import typst
from pausewright.deliver import version_build
from pausewright.deliver.build import build_versions
from pausewright.deliver.build_options import Options
from pausewright.deliver.outputs import measured_output, papers_output, staff_papers_output

PAPERS = (papers_output.write, staff_papers_output.write, measured_output.write)
kept, took_s, n_papers = [], 0.0, 0
right = typst.compile

def keep(files, **how):
    kept.append((files, {name: value for name, value in how.items() if name != "font_paths"}))
    return right(files, **how)

def timed(write):
    def write_timed(job):
        global took_s, n_papers
        started_s = time.process_time()
        made = write(job)
        took_s += time.process_time() - started_s
        n_papers += sum(file.path.suffix == ".pdf" for file in made.files)
        return made
    return write_timed if write in PAPERS else write

typst.compile = keep if len(sys.argv) > 3 else right
version_build.BEFORE_CHECK = tuple(map(timed, version_build.BEFORE_CHECK))
version_build.AFTER_CHECK = tuple(map(timed, version_build.AFTER_CHECK))
build_versions(
    Path(sys.argv[1]), Options(Path(sys.argv[2]), workers=1, mark_scheme=True, start="09:15")
)
if kept:
    Path(sys.argv[3]).write_bytes(pickle.dumps(kept))
print(json.dumps([took_s, n_papers]))
"""
_ALONE: Final = """
import json, pickle, sys, tempfile, time
import typst
kept = pickle.loads(open(sys.argv[1], "rb").read())
folders = pickle.loads(open(sys.argv[2], "rb").read())
root = tempfile.mkdtemp()
started_s = time.process_time()
fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=folders)
for files, how in kept:
    typst.compile(files, font_paths=fonts, **{**how, "root": root})
print(json.dumps([time.process_time() - started_s, len(kept)]))
"""


def bench_papers(demo: Path) -> list[Row]:
    """Compare all papers of five versions with Typst on what it was given.

    Parameters
    ----------
    demo : a copy of the demos, which may be changed
    """
    from pausewright.package_data import package_folder  # noqa: PLC0415  only for this part
    from pausewright.papers.typeset.typst_compiler import FONT_PACKAGES  # noqa: PLC0415

    script, out = demo / ARITHMETIC, demo / "out"
    script.with_name("arithmetic.arrangements.yaml").write_text(FIVE, "utf-8")
    ours, alone = demo / "ours.py", demo / "alone.py"
    kept, fonts = demo / "kept.pickle", demo / "fonts.pickle"
    ours.write_text(_OURS)
    alone.write_text(_ALONE)
    fonts.write_bytes(pickle.dumps([package_folder(name) / "files" for name in FONT_PACKAGES]))
    _, n_papers = _measured(ours, script, out, kept)
    theirs_s, ours_s = [], []
    for _ in range(ROUNDS):
        shutil.rmtree(out)
        ours_s.append(_measured(ours, script, out)[0])
        theirs_s.append(_measured(alone, kept, fonts)[0])
    ratio = min(ours_s) / min(theirs_s)
    what = f"all {n_papers} papers of {script.stem} in five versions, against Typst alone"
    measured = f"{ratio:.2f} × ({min(ours_s):.2f} s against {min(theirs_s):.2f} s)"
    return [(what, measured, f"{MOST} ×", ratio <= MOST)]


def _measured(*arguments: Path) -> tuple[float, int]:
    """Return the processor's seconds and the number of papers."""
    done = subprocess.run(
        [sys.executable, *map(str, arguments)], check=True, capture_output=True, text=True
    )
    took_s, n_papers = json.loads(done.stdout.splitlines()[-1])
    return took_s, n_papers
