"""Sideways shift of the picture: what sync loses on the board, and what RGB saves in the set."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import Draw
from rasterport.analysis.nodal import Values
from rasterport.analysis.setup import Setup
from rasterport.analysis.sync import delays
from rasterport.design.landings import line_standards
from rasterport.units import short

SHIFT_AT_HZ = 1e6
"""Where the delay of a line is read [Hz]: a picture detail, below every -3 dB point."""
LUMINANCE_DELAY_S = (0.2e-6, 0.6e-6)
"""Bounds of a set's luminance delay [s], from memory; they hold where the variant says nothing else."""


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Shift in seconds and in percent of the picture's width.

    A picture that comes early against sync moves to the left; the source's own position adds to this.
    """
    sync_line, (typical_s, most_s) = delays(setup)
    colour = next(iter(setup.colours().values()), None)
    if colour is None or sync_line is None:
        return
    rgb = setup.variant.set.rgb
    told = "luminance_delay" in rgb.model_fields_set
    low, high = (rgb.luminance_delay, rgb.luminance_delay) if told else LUMINANCE_DELAY_S
    active = min(s.active_line_s for s in line_standards(setup.variant))

    def seconds(draw: Draw) -> Values:
        luminance = draw.between("luminance delay", low, rgb.luminance_delay, high)
        chips = draw.between("delay in chips", 0.0, typical_s, most_s)
        late = sync_line.delay_s(draw, SHIFT_AT_HZ) + chips
        return luminance + late - colour.delay_s(draw, SHIFT_AT_HZ)

    chips = ("delay in chips",) if most_s else ()
    names = (*(() if told else ("luminance delay",)), *chips)
    names += tuple(dict.fromkeys((*sync_line.parameters, *colour.parameters)))
    given = (
        ("luminance delay", f"{short(low * 1e9, 3)} to {short(high * 1e9, 3)} ns"),
        ("delay in chips of the board", f"{short(typical_s * 1e9, 3)} ns, at most {short(most_s * 1e9, 3)} ns"),
        ("active line", f"{active * 1e6:.6g} us"),
    )
    yield Quantity("shift", "picture", setup.state, seconds, names, given)
    yield Quantity("shift-share", "picture", setup.state, lambda d: 100 * seconds(d) / active, names, given)
