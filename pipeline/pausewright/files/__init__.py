"""Files at the bottom: hashed, written whole or not at all, and folders swapped safely."""
