"""The JavaScript modules of a page, joined into its one script."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from pausewright.screen import bundle as bundling
from pausewright.screen.bundle import BundleError, bundle
from support.browser.screen_modules import NODE, needs_node

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

SMALL = {
    "a/main.js": (
        '// first\nimport {one, Two} from "./one.js";\n'
        'import {\n  three,\n} from "../b/three.js";\n'
        "const hidden = 5;\nconsole.log(one() + new Two().value + three + hidden);\n"
    ),
    "a/one.js": (
        'import {three} from "../b/three.js";\nconst hidden = 1;\n'
        "export function one() { return hidden + three; }\nexport class Two { value = 20; }\n"
    ),
    "b/three.js": (
        "const hidden = 300;\nexport const three = hidden;\nexport async function x() {}\n"
    ),
}


@pytest.fixture
def shipped(monkeypatch: pytest.MonkeyPatch) -> Callable[[Mapping[str, str]], None]:
    """Return a call that sets which modules are shipped."""
    monkeypatch.setattr(bundling, "bundle", bundle.__wrapped__)

    def ship(files: Mapping[str, str]) -> None:
        monkeypatch.setattr(bundling, "page_part", lambda _package, path: files[path])

    return ship


@needs_node
def test_modules_see_each_others_exports_alone(shipped: Callable[..., None]) -> None:
    """Three modules with a name in common run as one script and add up."""
    shipped(SMALL)
    code = bundling.bundle("a/main.js")

    done = subprocess.run(
        [str(NODE), "-e", code], capture_output=True, encoding="utf-8", check=False, timeout=60
    )
    assert (done.stdout, done.stderr) == ("626\n", "")
    assert code.startswith('"use strict";\n')
    assert code.index("// ---- b/three.js") < code.index("// ---- a/one.js")
    assert code.count("// ---- b/three.js") == 1


@pytest.mark.parametrize(
    ("path", "old", "new", "told"),
    [
        ("a/main.js", "{one, Two}", "{one, Too}", "a/main.js imports Too from a/one.js"),
        ("a/main.js", "import {one, Two} from", "import * as all from", "cannot be read: import"),
        (
            "b/three.js",
            "export async",
            "export let y = 1;\nexport async",
            "cannot be read: export let",
        ),
        ("b/three.js", "const hidden", 'import {one} from "../a/one.js";\nconst hidden', "→"),
    ],
)
def test_what_is_not_written_so_is_refused(
    shipped: Callable[..., None], path: str, old: str, new: str, told: str
) -> None:
    """An unknown name, other forms of import and export, a circle."""
    shipped({**SMALL, path: SMALL[path].replace(old, new)})

    with pytest.raises(BundleError, match=told):
        bundling.bundle("a/main.js")


@pytest.mark.parametrize("entry", ["room/room.js", "reader/reader.js"])
def test_the_screens_scripts_are_whole(entry: str) -> None:
    """Nothing of a module's own syntax is left, and every module is there once."""
    code = bundle(entry)

    assert not [line for line in code.splitlines() if line.startswith(("import ", "export "))]
    assert code.count("// ---- shared/machine.js\n") == 1
    assert code.rstrip().endswith("})();")


def test_the_same_script_in_every_process() -> None:
    """The order of the modules does not depend on how a process hashes their names."""
    code = "from pausewright.screen.bundle import bundle; print(bundle('room/room.js'))"

    made = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)},
            stdout=subprocess.PIPE,
            check=True,
            timeout=60,
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(made) == 1
