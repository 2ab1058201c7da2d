"""Rasterport: adapter boards that take native RGB into a consumer CRT television set.

The Python interface is in `rasterport.api`: `load` reads variant files, `design` works a variant out,
`build` writes its folder.  (It is not repeated here, where `rasterport.design` is the package of sizing.)
"""

__version__ = "0.1.0"
