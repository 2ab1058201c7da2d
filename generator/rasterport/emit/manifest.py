"""manifest.json: what a build wrote, from what, and which bare board it fits."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from rasterport.records import Circuit
from rasterport.variant.models import Variant

NAME = "manifest.json"
FORMAT = 1


def digest(data: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def bare_board(circuit: Circuit) -> str:
    """Digest over roles, footprints and nets without values.

    Variants that share it fit the same fabricated board.
    """
    lines = []
    for placed in circuit.parts:
        if placed.on_board:
            pins = " ".join(f"{pin}={net or '-'}" for pin, net in sorted(placed.nets.items()))
            lines.append(f"{placed.role}|{placed.part.footprint}|{pins}")
    return digest("\n".join(sorted(lines)).encode())


def manifest_text(
    variant: Variant, variant_digest: str, circuit: Circuit, version: str, files: Mapping[str, bytes], remark: str
) -> str:
    """The manifest over all other files of the folder."""
    content: dict[str, Any] = {
        "format": FORMAT,
        "variant": variant.variant.name,
        "title": variant.variant.title,
        "revision": variant.variant.revision,
        "notes": variant.variant.notes,
        "generator": f"rasterport {version}",
        "variant_digest": variant_digest,
        "bare_board": bare_board(circuit),
        "files": {name: digest(data) for name, data in sorted(files.items())},
    }
    if remark:
        content["remark"] = remark
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"
