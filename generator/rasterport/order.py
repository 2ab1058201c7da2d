"""The order in which parts are listed."""

from __future__ import annotations

import re


def natural(reference: str) -> tuple[str, int]:
    """Sort key that puts R2 before R10."""
    match = re.fullmatch(r"([A-Z]+)(\d+)", reference)
    return (match[1], int(match[2])) if match else (reference, 0)
