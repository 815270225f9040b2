"""How much a script may hold: far more than any test, and no more than is read within seconds."""

from __future__ import annotations

from typing import Final

MOST_LINES: Final = 10_000
"""Lines of a script with all that it includes."""
MOST_CHARACTERS: Final = 200_000
"""Characters of a script with all that it includes."""
MOST_IN_PARAGRAPH: Final = 5_000
"""Characters of one line, and of one paragraph, heading or answer."""
MOST_YAML_LINES: Final = 5_000
"""Lines of settings, of a file of arrangements, and of a lexicon."""
MOST_YAML_CHARACTERS: Final = 200_000
"""Characters of the same."""
MOST_YAML_BRACKETS: Final = 100
"""Brackets that are open at once in the same."""
MOST_NESTED: Final = 20
"""Levels of emphasis and brackets inside each other in a paragraph."""
MOST_LEXICONS: Final = 10
"""Lexicon files of a script."""
MOST_WORDS_CHARACTERS: Final = 200_000
"""Characters of a file with the words of a recording, and of the words of all recordings."""
CAPTION_FILE_ENDINGS: Final = (".vtt", ".srt")
"""Of files that hold the words of a recording with their times."""
