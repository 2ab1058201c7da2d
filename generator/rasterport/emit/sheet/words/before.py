"""What to measure on the set before work begins: the isolation of its ground first, then what the file claims.

How a thing is found is the key's own text (`Survey`); what the file says is its value; here stand the points of the
meter, and what to do where the set says something else.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rasterport.emit.sheet.words.before_dead import AS_IT_IS, DEAD, JOINED, OHMS, UNTOUCHED, dead, how, lifted
from rasterport.emit.sheet.words.facts import Facts, listed, said
from rasterport.emit.sheet.words.kinds import Check
from rasterport.records import Circuit, Figure, Finding, Outcome
from rasterport.standards.bench_practice import COLD_LEAKAGE_OHM, PRACTICE
from rasterport.standards.bt470 import LINE_STANDARDS
from rasterport.units import written
from rasterport.variant.models import Variant

LIVE = f"on an isolation transformer, one hand, {UNTOUCHED}"
OPENING = (
    "The order is that of safety, and of the set as it is: nothing is lifted or cut before a check says so. A "
    "place named as lifted or cut is read as it still is.",
    "Where the set says otherwise than the file: write what you measured into the variant file, and build again before "
    "you solder. The resistance of the meter's own leads is taken off.",
)
"""What stands in front of the checks."""
VOLTS = "multimeter, direct voltage"
HOT = "its hot part on the mains itself and not behind an isolation transformer"
JUNGLE = "the ground pin of the jungle IC"


def before(
    circuit: Circuit,
    variant: Variant,
    findings: Sequence[Finding],
    figures: Sequence[Figure],
    states: Sequence[Outcome],
) -> tuple[Check, ...]:
    """The checks in a safe order: papers, the set dead, under power, and dead again with a pin lifted."""
    facts = Facts(circuit, variant, findings, figures, states)
    powered = (*_rail(facts), *_blanking_live(facts), *_bias(facts), *_gate(facts))
    return (_isolated(facts), _scan(facts), *_grounds(facts), *dead(facts), *powered, *lifted(facts))


def _isolated(facts: Facts) -> Check:
    """Whether there may be a board at all."""
    return Check(
        "ground-isolated",
        "Is the signal ground isolated from the mains?",
        "as the service manual says for its leakage test",
        how("set", "signal_ground"),
        "the instruments of the manual's test",
        "",
        "",
        f"File: isolated, verified by: {said(facts.tv.ground_verified)}.",
        f"The leakage test of the service manual is passed, on this set, {HOT}; written down with name and date.",
        "Stop. Nothing may be joined to this set. Put the back on.",
        "service manual of the set",
        decides=True,
    )


def _grounds(facts: Facts) -> Iterator[Check]:
    """The places of the grounds, and that none of them is plainly live."""
    asked = " or ".join(f"{written(low, 'ohm')} to {written(high, 'ohm')}" for low, high in COLD_LEAKAGE_OHM)
    yield Check(
        "ground-cold",
        "Resistance from the mains plug to the signal ground",
        f"{DEAD}, the set's own mains switch on",
        "Measure from each blade of the mains plug, with the leads both ways round. This does not replace the leakage "
        "test: it only finds a set that is plainly live.",
        OHMS,
        "each blade of the mains plug in turn",
        facts.at("ground"),
        "File: isolated.",
        f"No less than the manual asks. Two makers ask {asked}; it differs by model.",
        "A low reading means that the ground is live. Stop. Nothing may be joined to this set.",
        "service manuals of two set makers",
        decides=True,
    )
    yield Check(
        "ground-jacks",
        "Is the jungle's ground that of the jacks?",
        AS_IT_IS,
        "Measure from the outside of a jack of the set, or from the shield of the tuner, to the ground landing.",
        OHMS,
        "the outside of a jack of the set",
        facts.at("ground"),
        "The file takes it for granted.",
        JOINED,
        "Stop. The jacks may be isolated while the jungle IC is live: have the leakage test made at the jungle's "
        "ground.",
        PRACTICE,
        decides=True,
    )
    for name, path in (("ground", "ground_at"), ("ground-2", "second_ground_at")):
        if facts.lands(name):
            place = said(getattr(facts.tv, path))
            yield Check(
                f"{name}-at",
                f"The {name} landing",
                AS_IT_IS,
                how("set", "ground_at") if name == "ground" else how("set", "second_ground_at"),
                OHMS,
                JUNGLE,
                facts.at(name),
                f"File: {place}." if place else "The file does not say where.",
                JOINED,
                "Look for another place at the jungle IC. A far ground brings hum and bars into the picture.",
                PRACTICE,
            )


def _rail(facts: Facts) -> Iterator[Check]:
    supply = facts.tv.supply
    yield Check(
        "rail-voltage",
        "Voltage of the rail",
        LIVE,
        how("set", "supply", "voltage"),
        VOLTS,
        facts.at("rail"),
        facts.at("ground"),
        f"File: {facts.rail}.",
        f"{facts.rail}, steady, with picture and sound",
        "Do not join the board: another voltage may destroy it.",
        PRACTICE,
        decides=True,
    )
    gone = supply.kind == "run"
    yield Check(
        "rail-standby",
        "The rail in standby",
        LIVE,
        how("set", "supply", "kind"),
        VOLTS,
        facts.at("rail"),
        facts.at("ground"),
        f"File: {'a run rail, which vanishes' if gone else 'a standby rail, which stays'}.",
        f"falls to {written(0.0, 'V')} when the set goes to standby" if gone else "stays in standby",
        "A rail that stays feeds a dead jungle IC through the board." if gone else "The board is dead in standby.",
        PRACTICE,
        decides=True,
    )


def _blanking_live(facts: Facts) -> Iterator[Check]:
    pin = facts.tv.blanking
    menu = " Then open a menu of the set and see whether the voltage moves." if pin.native == "driven" else ""
    expect = f"below {written(pin.off_below, 'V')} with the set's own picture"
    if facts.shared:
        expect += (
            "; while a menu is open a meter shows little more, an oscilloscope shows pulses above "
            f"{written(pin.on_above, 'V')}"
        )
    elif pin.native == "driven":
        expect += ", no menu open"
    yield Check(
        "blanking-level",
        "Native level of the blanking pin",
        LIVE,
        f"Read the voltage while the set shows its own picture.{menu}",
        VOLTS,
        facts.at("blanking"),
        facts.at("ground"),
        f"File: {pin.native}, off below {written(pin.off_below, 'V')}, on above {written(pin.on_above, 'V')}, "
        f"at most {written(pin.maximum, 'V')}.",
        expect,
        "This may not be the blanking pin, or it is active low. Look it up in the data sheet.",
        "data sheet of the jungle IC",
    )


def _bias(facts: Facts) -> Iterator[Check]:
    sync = facts.tv.sync
    if sync.coupling == "dc":
        yield Check(
            "sync-bias",
            "Direct voltage on the sync landing",
            LIVE,
            how("set", "sync", "bias"),
            VOLTS,
            facts.at("sync"),
            facts.at("ground"),
            f"File: {written(sync.bias, 'V')}.",
            f"near {written(sync.bias, 'V')}",
            "The capacitor of the board may sit the wrong way round.",
            PRACTICE,
        )


def _gate(facts: Facts) -> Iterator[Check]:
    if not facts.lands("gate"):
        return
    gate = facts.variant.selector
    yield Check(
        "gate-levels",
        "Levels of the gate line",
        LIVE,
        f"{how('selector', 'gate_active')} Then select something else.",
        VOLTS,
        facts.at("gate"),
        facts.at("ground"),
        f"File: {gate.gate_active} lets the board act; low is at most {written(gate.gate_low, 'V')}, high at "
        f"least {written(gate.gate_high, 'V')} and at most {written(gate.gate_maximum, 'V')}.",
        f"{gate.gate_active} with the right input selected, the other level with everything else",
        "The board would act at the wrong time.",
        PRACTICE,
    )


def _scan(facts: Facts) -> Check:
    rates = [written(s.line_rate_hz, "Hz") for n, s in LINE_STANDARDS.items() if facts.tv.lines in (n, "both")]
    return Check(
        "scan",
        "Line rate at the jungle IC",
        "from papers, or by somebody equipped for it",
        how("set", "scan"),
        "papers; else an oscilloscope or a counter on a line pulse of the jungle IC, never on the line output stage",
        "",
        "",
        f"File: {facts.tv.scan}.",
        f"{listed(rates, 'or')}",
        "A set that doubles the line rate in front of these pins cannot take this board. Stop.",
        "ITU-R BT.470",
        decides=True,
    )
