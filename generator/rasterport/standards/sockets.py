"""The registry of socket wirings; the tables stand in the modules of their documents."""

from __future__ import annotations

from rasterport.standards import bnc_phono, de15, twentyone_european, twentyone_japanese
from rasterport.standards.contacts import FUNCTIONS, Contact, Function, SocketWiring

__all__ = ["FUNCTIONS", "WIRINGS", "Contact", "Function", "SocketWiring"]

WIRINGS: dict[str, SocketWiring] = {
    wiring.key: wiring
    for wiring in (
        twentyone_european.WIRING,
        twentyone_japanese.WIRING,
        de15.WIRING,
        bnc_phono.BNC,
        bnc_phono.PHONO,
    )
}
"""Every wiring that a variant may name, by its key."""
