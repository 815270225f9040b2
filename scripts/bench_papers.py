"""Papers against Typst alone on the same sources: a part of `scripts/bench.py`.

Both sides run in a process of their own and load the same fonts; what is compared is the time of
the processor from there on, the least of several rounds.
"""

from __future__ import annotations

import pickle
import subprocess
import sys
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pathlib import Path

Row = tuple[str, str, str, bool]
ROUNDS: Final = 7
MOST: Final = 1.5

_OURS: Final = """
import pickle, sys, time
from pathlib import Path
import typst
from pausewright.papers.answer_sheet import answer_sheet
from pausewright.papers.mark_scheme import mark_scheme
from pausewright.papers.typeset.paper_frame import Look
from pausewright.script.reader import read
script, kept = read(Path(sys.argv[1])).script, []
if len(sys.argv) > 2:
    right = typst.compile
    def keep(files, **how):
        kept.append((files, {name: value for name, value in how.items() if name != "font_paths"}))
        return right(files, **how)
    typst.compile = keep
started_s = time.process_time()
looks = [Look(), Look(), Look(18), Look(24), Look(24, "A3", "clear")]
for label, look in zip("ABCDE", looks, strict=True):
    answer_sheet(script, label=label, edition="7KQ3MX", look=look)
    mark_scheme(script, label=label, edition="7KQ3MX")
print(time.process_time() - started_s)
if kept:
    Path(sys.argv[2]).write_bytes(pickle.dumps(kept))
"""
_ALONE: Final = """
import pickle, sys, time
import typst
kept = pickle.loads(open(sys.argv[1], "rb").read())
folders = pickle.loads(open(sys.argv[2], "rb").read())
started_s = time.process_time()
fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=folders)
for files, how in kept:
    typst.compile(files, font_paths=fonts, **how)
print(time.process_time() - started_s)
"""


def bench_papers(folder: Path, script: Path) -> list[Row]:
    """Compare answer sheets and mark schemes in five versions with Typst on what it was given."""
    from pausewright.package_data import package_folder  # noqa: PLC0415  only for this part
    from pausewright.papers.typeset.typst_compiler import FONT_PACKAGES  # noqa: PLC0415

    ours, alone = folder / "ours.py", folder / "alone.py"
    kept, fonts = folder / "kept.pickle", folder / "fonts.pickle"
    ours.write_text(_OURS)
    alone.write_text(_ALONE)
    fonts.write_bytes(pickle.dumps([package_folder(name) / "files" for name in FONT_PACKAGES]))
    _seconds(ours, script, kept)
    theirs_s, ours_s = [], []
    for _ in range(ROUNDS):
        ours_s.append(_seconds(ours, script))
        theirs_s.append(_seconds(alone, kept, fonts))
    ratio = min(ours_s) / min(theirs_s)
    what = f"ten papers of {script.stem} in five versions, against Typst alone"
    measured = f"{ratio:.2f} × ({min(ours_s):.2f} s against {min(theirs_s):.2f} s)"
    return [(what, measured, f"{MOST} ×", ratio <= MOST)]


def _seconds(*arguments: Path) -> float:
    done = subprocess.run(
        [sys.executable, *map(str, arguments)], check=True, capture_output=True, text=True
    )
    return float(done.stdout)
