"""Everything to read at the bench, with what to expect of it: board alone, soldered in, powered."""

from __future__ import annotations

from rasterport.analysis.figures import Figures
from rasterport.analysis.meter import as_shown
from rasterport.analysis.ohm_readings import OhmReadings
from rasterport.analysis.setup import Setup
from rasterport.analysis.volt_readings import VoltReadings
from rasterport.records import Reading

STAGES = ("alone", "joined", "powered")
"""In the order of the work."""


def readings(setup: Setup, figures: Figures | None = None) -> tuple[Reading, ...]:
    """Every reading of a board in the order of the work, in the digits that instruments show.

    `figures` are those of the setup where they are at hand.
    Raises ValueError where two have the same key.
    """
    control = setup.control
    figures = figures or Figures(setup)
    worked_out = (
        *OhmReadings(control, joined=False).all(),
        *VoltReadings(control, figures, alone=True).all(),
        *OhmReadings(control, joined=True).all(),
        *VoltReadings(control, figures, alone=False).all(),
    )
    found = tuple(as_shown(reading) for reading in worked_out)
    keys = [reading.key for reading in found]
    twice = sorted({key for key in keys if keys.count(key) > 1})
    if twice:
        raise ValueError(f"two readings are called {', '.join(twice)}")
    return found
