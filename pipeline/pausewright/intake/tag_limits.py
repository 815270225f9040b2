"""How much of tags a library gets, with the reasons."""

from __future__ import annotations

from typing import Final


class TagsError(Exception):
    """Tags are more than a library should get; the message says what of them."""


MOST_TAG_BYTES: Final = 16_000_000
"""A large cover picture is 10 MB."""
MOST_TEXT_BYTES: Final = 1_000_000
"""All texts of a tag: 5,000 chapters with titles of 60 signs are 0.9 MB."""
MOST_FIELD_BYTES: Final = 65_536
"""One text."""
MOST_FIELDS: Final = 10_000
"""Fields of a tag, those inside others too: 5,000 chapters with their titles."""
MOST_COPIED_BYTES: Final = 10_000_000_000
"""A library copies what is left of a tag for each field of it, and of a list of texts for each
text: so much takes 3 seconds."""
MOST_NESTED: Final = 4
"""A chapter holds a title, and no more."""


class Count:
    """Counts what a tag holds."""

    def __init__(self, n_tag_bytes: int) -> None:
        """Take the size of all of it."""
        if n_tag_bytes > MOST_TAG_BYTES:
            raise TagsError(f"its tags are larger than {MOST_TAG_BYTES // 1_000_000} MB")
        self._n_fields = 0
        self._n_copied_bytes = 0
        self._n_text_bytes = 0

    def add(self, n_fields: int = 1) -> None:
        """Count fields, or values of one."""
        self._n_fields += n_fields
        if self._n_fields > MOST_FIELDS:
            raise TagsError(f"its tags hold more than {MOST_FIELDS} fields")

    def add_copy(self, n_bytes: int) -> None:
        """Count what a library copies."""
        self._n_copied_bytes += n_bytes
        if self._n_copied_bytes > MOST_COPIED_BYTES:
            raise TagsError("its tags hold too many fields for their size")

    def add_text(self, n_bytes: int) -> None:
        """Count the bytes of a text."""
        self._n_text_bytes += n_bytes
        if n_bytes > MOST_FIELD_BYTES or self._n_text_bytes > MOST_TEXT_BYTES:
            raise TagsError("its tags hold more text than a track needs (1 MB, 64 kB in a field)")
