"""What a hand touches: the source's lead before its first plug-in, new metal of the set before it is given back."""

from __future__ import annotations

from rasterport.emit.sheet.words.facts import Facts, listed
from rasterport.emit.sheet.words.kinds import Step
from rasterport.standards.bench_practice import (
    COLD_LEAKAGE_OHM,
    LEAKAGE_F,
    LEAKAGE_OHM,
    LEAKAGE_V,
    LEAKAGE_W,
    METER_OHM,
    RESERVOIR_V,
)
from rasterport.units import written

DEAD = "Dead set, ohmmeter"
"""A reading on a set without power; what stands in front of the faults says what a dead set is."""
SERVICE = "Write down the old setting first; leave screen voltage and supply voltage alone (X-rays)."
"""What goes with every service adjustment that a sentence sends to."""
MANUALS = "leakage tests in service manuals of two set makers"
SHUNT = f"{written(LEAKAGE_OHM, 'ohm')} of {written(LEAKAGE_W, 'W')} and {written(LEAKAGE_F, 'F')} beside it"
AC = "multimeter, alternating voltage"


def first_plug(facts: Facts) -> Step:
    """Whether source and board may be joined by a hand."""
    metal = listed(_shells(facts), "or")
    return Step(
        "first-plug",
        "The lead of the source, before its first plug-in",
        "none: the plug stays out; source and set at their own mains sockets, no isolation transformer, aerial off",
        f"Both off, clip a {AC}, range {written(RESERVOIR_V, 'V')} or more, from the metal of the lead's plug to "
        f"{metal}. Switch both on, touch nothing, read, switch off. Then once more with {SHUNT} across the meter. Do "
        "it with the lead of every source.",
        f"With the meter alone (some {written(METER_OHM, 'ohm')}) tens of volts are normal: a source without "
        f"protective earth leaks through small capacitors. With the resistor no more than {written(LEAKAGE_V, 'V')}.",
        "Near the mains voltage with the meter alone, or more than that with the resistor: stop, plug nothing in. "
        "Source or set is live; have it looked at by somebody licensed.",
        MANUALS,
        refs=tuple(ref for n in facts.inputs for ref in facts.socket_refs(n)),
    )


def leakage_again(facts: Facts) -> Step:
    """The test that closes the work: there is new metal to touch."""
    first, second = (f"{written(low, 'ohm')} to {written(high, 'ohm')}" for low, high in COLD_LEAKAGE_OHM)
    return Step(
        "leakage-again",
        "Leakage test again, before the set is given back",
        "none: nothing plugged in, the back on, the set at the mains itself and not behind an isolation transformer, "
        "where the hot test proves nothing",
        "Have the whole leakage test of the service manual made, cold and hot, by somebody licensed and equipped for "
        f"it: at all metal of the set that a hand reaches, and at what is new: {listed(_metal(facts))}.",
        f"Passed as the manual asks. Two makers ask {first} or {second} cold, and hot no more than "
        f"{written(LEAKAGE_V, 'V')} across {SHUNT}, to earth, with the mains plug both ways round. Write down who, "
        "when and what was read.",
        "Not passed: the set is not used and not given back.",
        MANUALS,
        refs=(*(ref for n in facts.inputs for ref in facts.socket_refs(n)), *facts.refs("panel/switch")),
    )


def _shells(facts: Facts) -> list[str]:
    refs = [ref for n in facts.inputs for ref in facts.socket_refs(n)]
    return [f"the outside of {listed(refs, 'or')}", facts.ground]


def _metal(facts: Facts) -> list[str]:
    refs = [ref for n in facts.inputs for ref in facts.socket_refs(n)]
    switch = [f"the metal of {ref}" for ref in facts.refs("panel/switch")]
    return [f"the outside and the screws of {listed(refs)}", *switch]
