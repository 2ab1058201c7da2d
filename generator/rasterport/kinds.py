"""What a build can write, apart from everything heavy, so that help text can name it."""

from __future__ import annotations

KINDS = ("net", "bom", "wiring", "findings", "deck", "panel", "svg", "wires", "html")
"""`net` brings the footprint library and its table along."""
