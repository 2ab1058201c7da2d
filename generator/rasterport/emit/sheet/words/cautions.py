"""The cautions: those of every set, which the survey says too, and those of this board.

The general ones are of the trade and of service manuals: tubes keep their charge, EHT and X-ray protection stay as they
are, an isolation transformer, one hand.  Local codes and licensed practice come first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rasterport.emit.sheet.words.facts import Facts, inputs_words, listed
from rasterport.emit.sheet.words.kinds import Caution
from rasterport.records import Circuit, Figure, Finding, Outcome
from rasterport.standards.bench_practice import BLEEDER_W, PRACTICE, RESERVOIR_V
from rasterport.standards.sockets import WIRINGS
from rasterport.standards.status_levels import FAULT_V
from rasterport.units import written
from rasterport.variant.models import Variant

LAWS = (
    "A television set can kill, also hours after it was unplugged. If you are not trained to work inside one, have "
    "somebody do it who is. Local codes and licensed practice come before anything printed here."
)
TUBE = (
    "The picture tube holds many kilovolts after switch-off and gathers charge again by itself. Unplug. Clip the "
    "lead of an insulated tool made for that to the braid of the tube's outer coating first; only then bring its tip "
    "to the anode. Do it again after some minutes."
)
RESERVOIR = (
    "The large capacitor of the mains supply keeps its charge too. Measure across its own two terminals, never against "
    f"the signal ground, direct voltage, range {written(RESERVOIR_V, 'V')} or more. Discharge it through a resistor "
    f"of a few kilohm and at least {written(BLEEDER_W, 'W')} on insulated leads, never with a screwdriver. Measure "
    "again."
)
LIMITS = (
    "Never defeat or change anything that limits the high voltage: it also limits X-rays. Never turn screen voltage, "
    "supply voltage or high voltage; of the service adjustments only the one that a step names, its old setting "
    "written down first."
)
ISOLATION = (
    "The signal ground must be isolated from the mains, and that must be verified by the tests of the service "
    "manual. If it is live, or you are not sure, stop: no board can be made, and nothing may be connected."
)
LEAKAGE = (
    "The leakage test of the service manual is for somebody licensed and equipped for it: before the work, and again "
    "before the set is given back. Its hot part is done on the mains itself: behind an isolation transformer it proves "
    "nothing."
)
COLD = "Resistance is measured only with the plug pulled and everything discharged."
POWERED = (
    "Voltage is measured only after that: set on an isolation transformer, the meter's black lead clipped to the "
    "jungle's ground before power comes on, one hand in your pocket, no rings, no watch, dry floor, somebody in the "
    "room. Clip both leads on the dead set, switch on, read, switch off, and only then move a clip."
)
SCOPE = (
    "The clip of an oscilloscope's probe is joined to protective earth, and to the clip of every other probe. It "
    "goes to the verified signal ground alone, never to the mains side and never to another point. Leave the "
    "oscilloscope's earth where it is."
)
SCAN = "Do not plug in a source that delivers 31 kHz, as the DE-15 of a computer may: the set is made for 15 kHz."

GENERAL = {
    "laws": LAWS,
    "tube": TUBE,
    "reservoir": RESERVOIR,
    "limits": LIMITS,
    "isolation": ISOLATION,
    "leakage": LEAKAGE,
    "cold": COLD,
    "powered": POWERED,
    "scope": SCOPE,
}
"""The cautions of every set, by their keys."""
OF_EVERY_SET = (*GENERAL.values(), SCAN)
"""The general cautions in the order in which a sheet opens with them."""

MANUALS = "service manuals of sets and repair guides, common practice"
SOURCES = dict.fromkeys(("tube", "limits", "isolation", "leakage", "powered"), MANUALS)
TITLES = {
    "laws": "Know what you do, or leave it to somebody who does",
    "tube": "Discharge the picture tube, and discharge it again",
    "reservoir": "Measure and discharge the mains capacitor",
    "limits": "Leave high voltage and its protection alone",
    "isolation": "Verify that the signal ground is isolated",
    "leakage": "Have the leakage test made, on the mains itself",
    "cold": "Measure resistance on a dead set only",
    "powered": "One hand, no rings, isolation transformer",
    "scope": "Mind the earthed clip of an oscilloscope",
}


def cautions(
    circuit: Circuit,
    variant: Variant,
    findings: Sequence[Finding],
    figures: Sequence[Figure],
    states: Sequence[Outcome],
) -> tuple[Caution, ...]:
    """The cautions of a sheet, the gravest first."""
    facts = Facts(circuit, variant, findings, figures, states)
    general = (Caution(key, TITLES[key], text, SOURCES.get(key, PRACTICE)) for key, text in GENERAL.items())
    return (*general, *_scan(facts), *_wiring(facts), *_status(facts), *_alone(facts), _first_power(facts))


def _scan(facts: Facts) -> Iterator[Caution]:
    """Said of every set, and louder where the socket of a computer is there."""
    numbers = facts.inputs_with("de-15")
    if not numbers:
        yield Caution("scan", "Keep to 15 kHz", SCAN, PRACTICE)
        return
    refs = tuple(ref for n in numbers for ref in facts.socket_refs(n))
    text = f"{WIRINGS['de-15'].caution} This concerns {inputs_words(numbers)}: {listed(refs)}."
    yield Caution("scan", "Set the source to 15 kHz before it is plugged in", text, PRACTICE, refs)


def _wiring(facts: Facts) -> Iterator[Caution]:
    for key in ("european-21", "japanese-21"):
        numbers = facts.inputs_with(key)
        if not numbers:
            continue
        wiring = WIRINGS[key]
        refs = tuple(ref for n in numbers for ref in facts.socket_refs(n))
        yield Caution(
            f"wiring-{key}",
            f"Plug only {'European' if key == 'european-21' else 'Japanese'} leads into {inputs_words(numbers)}",
            f"{listed(refs)}: {wiring.caution[0].lower()}{wiring.caution[1:]}",
            wiring.document,
            refs,
        )


def _status(facts: Facts) -> Iterator[Caution]:
    """Contact 8 of a European lead carries up to 12 V, beside contacts that bear less."""
    numbers = facts.inputs_with("european-21")
    if not numbers:
        return
    refs = tuple(ref for n in numbers for ref in facts.socket_refs(n))
    read = [f"contact {facts.status(n).removeprefix('status-')} of input {n}" for n in facts.inputs if facts.status(n)]
    bears = f" Of this board {listed(read)} may have it for ever." if read else ""
    text = (
        f"A source may put {written(FAULT_V, 'V')} on contact 8 of {listed(refs)}. Do not let a probe slip from one "
        f"contact to the next while a source is on: on a colour or sync contact it burns the resistor there.{bears}"
    )
    yield Caution("status-voltage", "Do not bridge contacts of a plug", text, "EN 50049-1, contact 8", refs)


def _alone(facts: Facts) -> Iterator[Caution]:
    """The board is tried on a bench supply before it meets the set."""
    text = (
        f"First try the board alone. Set a bench supply to {written(facts.tv.supply.voltage, 'V')}, then join it: "
        f"plus to {facts.end('rail')}, minus to {facts.end('ground')}, its current limit as the readings say. Never "
        "join a bench supply to the set."
    )
    yield Caution("bench-supply", "Try the board on a bench supply first", text, PRACTICE)


def _first_power(facts: Facts) -> Caution:
    text = (
        "Do the checks before power, every one of them, and go on only when all are right. Then switch on with nothing "
        "plugged in and your hands away. If it smells, smokes, squeals or the picture collapses, pull the mains plug "
        "first and look afterwards."
    )
    return Caution("first-power", "Switch on only after the checks before power", text, PRACTICE)
