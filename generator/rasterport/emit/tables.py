"""CSV as RFC 4180 has it, in UTF-8 with LF: every text comes back as it went in, but for what would be worked out."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence

FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
"""Beginnings of a cell that spreadsheets take for a formula or skip to find one (OWASP, CSV injection)."""
NEGATIVE = r"-[0-9]+(\.[0-9]+)?"
"""A number with a minus sign, which a spreadsheet reads as just that."""


def harmless(cell: str) -> str:
    """The cell with an apostrophe in front where a spreadsheet would work it out; leading blanks do not hide it."""
    risky = cell.startswith(FORMULA) or cell.lstrip().startswith(FORMULA)
    return f"'{cell}" if risky and not re.fullmatch(NEGATIVE, cell) else cell


def csv_text(header: Sequence[str], rows: Iterable[Sequence[str]], remark: str = "") -> str:
    """The table as text, each cell harmless to a spreadsheet.

    `remark` becomes a first line of its own when it is not empty.
    """
    lines = _Lines()
    writer = csv.writer(lines, lineterminator="\r\n")
    if remark:
        writer.writerow([remark])
    writer.writerow(header)
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return "".join(lines)


class _Lines(list[str]):
    """Lines with LF from a writer that ends them in CR LF, so that it quotes a cell with either of them."""

    def write(self, line: str) -> None:
        self.append(line.removesuffix("\r\n") + "\n")
