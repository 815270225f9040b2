"""Write the table of codes in docs/the-check.md from `checker/finding_codes.txt`.

.venv/bin/python scripts/make_code_table.py
"""

from __future__ import annotations

from pathlib import Path

from pausewright.checker.result.codes import codes

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "the-check.md"
HEAD = "| code | severity | numbers in | concerns | means |"
CONCERNS = {"heard": "hearing", "read": "reading", "staff": "staff"}


def table() -> str:
    """Return the table, a row a code, as it stands in the docs."""
    rows = [HEAD, "|---|---|---|---|---|"]
    for code, row in codes().items():
        severity = " or ".join(row.severities)
        unit = {"any": "its own unit", "": "–"}.get(row.unit, row.unit)
        rows.append(f"| `{code}` | {severity} | {unit} | {CONCERNS[row.audience]} | {row.means} |")
    return "\n".join(rows) + "\n"


def written(page: str) -> str:
    """Return the page with the table in its place."""
    start = page.index(HEAD)
    end = page.index("\n\n", start) + 1
    return page[:start] + table() + page[end:]


def main() -> int:
    """Write the table."""
    PAGE.write_text(written(PAGE.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
