"""Rasterport: adapter boards that take native RGB into a consumer CRT television set.

The Python interface is three functions: `load` reads variant files, `design` works a variant out,
`build` writes its folder.  Nothing heavy is imported before the first of them is used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["Built", "Design", "Loaded", "__version__", "build", "design", "load"]

if TYPE_CHECKING:
    from rasterport.api import Built, Design, build, design, load
    from rasterport.variant.load import Loaded


def __getattr__(name: str) -> Any:
    if name in __all__:
        from rasterport import api

        return getattr(api, name)
    raise AttributeError(f"module {__name__} has no attribute {name}")
