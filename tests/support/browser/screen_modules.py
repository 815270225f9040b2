"""The screens' JavaScript modules in Node, each by itself, without a browser."""

from __future__ import annotations

import json
import shutil
import subprocess
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

NODE = shutil.which("node")
needs_node = pytest.mark.skipif(NODE is None, reason="no Node on this machine: install nodejs")


def modules(folder: Path) -> Path:
    """Copy the modules as they are shipped into a folder where Node takes them for modules."""
    for file in Path(str(resources.files("pausewright.screen"))).rglob("*.js"):
        copy = folder / file.parent.name / file.name
        copy.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(file, copy)
    (folder / "package.json").write_text('{"type": "module"}', encoding="utf-8")
    return folder


def evaluated(folder: Path, imports: str, expression: str) -> Any:
    """Return what an expression of JavaScript gives after some imports, as JSON holds it."""
    code = f"{imports}\nprocess.stdout.write(JSON.stringify({expression}));\n"
    (folder / "asked.js").write_text(code, encoding="utf-8")
    done = subprocess.run(
        [str(NODE), "asked.js"], cwd=folder, capture_output=True, encoding="utf-8", check=False,
        timeout=60,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)
