"""CSV as RFC 4180 has it, in UTF-8 with LF: every text comes back as it went in."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence


def csv_text(header: Sequence[str], rows: Iterable[Sequence[str]], remark: str = "") -> str:
    """The table as text.  `remark` becomes a first line of its own when it is not empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    if remark:
        writer.writerow([remark])
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()
