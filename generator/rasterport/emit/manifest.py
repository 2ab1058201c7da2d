"""manifest.json: what a build wrote, from what, which bare board it fits, which parts belong to no input."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from rasterport.records import INPUT_ROLE, Circuit
from rasterport.variant.models import Variant

NAME = "manifest.json"
FORMAT = 2


def digest(data: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def shared_parts(circuit: Circuit) -> dict[str, str]:
    """Role -> reference and kind of every part that belongs to no input: what may be replaced when inputs change."""
    own = (p for p in circuit.parts if not INPUT_ROLE.fullmatch(p.role))
    return {p.role: f"{p.ref} {p.part.name}" for p in own}


def replaced(before: object, now: Mapping[str, str]) -> tuple[tuple[str, str, str], ...]:
    """What differs from the parts of an earlier build: role, what stood there, what stands there; "" for nothing.

    Nothing where the earlier build kept no such list.
    """
    if not isinstance(before, dict):
        return ()
    roles = sorted({*before, *now})
    return tuple(
        (role, str(before.get(role, "")), now.get(role, "")) for role in roles if before.get(role) != now.get(role)
    )


def manifest_text(
    variant: Variant,
    variant_digest: str,
    circuit: Circuit,
    bare_board: str,
    version: str,
    files: Mapping[str, bytes],
    remark: str,
    like: tuple[str, str] | None = None,
) -> str:
    """The manifest over all other files of the folder.

    `bare_board` is the digest of the fabricated board; `like` is the file that the variant is like, and its digest.
    """
    content: dict[str, Any] = {
        "format": FORMAT,
        "variant": variant.variant.name,
        "title": variant.variant.title,
        "revision": variant.variant.revision,
        "notes": variant.variant.notes,
        "generator": f"rasterport {version}",
        "variant_digest": variant_digest,
        **({} if like is None else {"like": like[0], "like_digest": like[1]}),
        "bare_board": bare_board,
        "shared_parts": shared_parts(circuit),
        "files": {name: digest(data) for name, data in sorted(files.items())},
    }
    if remark:
        content["remark"] = remark
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"
