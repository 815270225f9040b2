"""Where the project's folders are."""

from __future__ import annotations

from pathlib import Path
from typing import Final

TESTS: Final = Path(__file__).resolve().parents[1]
ROOT: Final = TESTS.parent
DEMO: Final = ROOT / "demo_scripts"
CASES: Final = TESTS / "cases"
