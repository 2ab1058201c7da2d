"""A least variant file, and the same with one key changed."""

from __future__ import annotations

_MINIMAL = """\
[variant]
name = "{name}"

[set]
lines = "525/60"
signal_ground = "isolated"
ground_verified = "leakage test of the service manual, passed"

[set.rgb]
insertion = "spare"
pin_kind = "analog-clamped"

[set.blanking]
native = "grounded"

[set.sync]
arrangement = "changeover"

[set.supply]
voltage = "5 V"
spare_current = "100 mA"

[[input]]
socket = "european-21"

[selector]
path = "gang"
control = "panel"
"""


def minimal(name: str = "kestrel") -> str:
    """The required keys and nothing else."""
    return _MINIMAL.format(name=name)


def changed(table: str, key: str, value: str | None, text: str | None = None) -> str:
    """`text` (or the minimal file) with one key of a table set to a TOML value as written, or taken out."""
    lines = (minimal() if text is None else text).splitlines()
    heading = f"[[{table}]]" if table in ("input", "set.work") else f"[{table}]"
    if heading not in lines:
        lines += ["", heading]
    start = lines.index(heading) + 1
    end = next((n for n in range(start, len(lines)) if lines[n].startswith("[")), len(lines))
    body = [line for line in lines[start:end] if not line.startswith(f"{key} =")]
    added = [] if value is None else [f"{key} = {value}"]
    return "\n".join([*lines[:start], *added, *body, *lines[end:]]) + "\n"
