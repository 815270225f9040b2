"""What the command line ends with."""

from __future__ import annotations

from typing import Final

GOOD: Final = 0
FOUND_WRONG: Final = 1
"""The check found something wrong, or a script is not as it should be."""
BAD_INPUT: Final = 2
"""The input or the call was wrong; also `PausewrightError.exit_code`."""
FAULT: Final = 70
"""A fault of the program itself."""
INTERRUPTED: Final = 130
