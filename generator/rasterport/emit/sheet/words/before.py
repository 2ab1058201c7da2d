"""What to measure on the set before work begins: the isolation of its ground first, then what the file claims.

How a thing is found is the key's own text (`Survey`); what the file says is its value; here stand the points of the
meter, and what to do where the set says something else.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rasterport.emit.sheet.words.facts import Facts, listed, said
from rasterport.emit.sheet.words.kinds import Check
from rasterport.records import COLOURS, Circuit, Figure, Finding, Outcome
from rasterport.standards.bench_practice import COLD_LEAKAGE_OHM, JOINED_OHM, PRACTICE
from rasterport.standards.bt470 import LINE_STANDARDS
from rasterport.standards.interface_levels import VIDEO_IMPEDANCE_OHM
from rasterport.units import written
from rasterport.variant.keys import keys_by_path
from rasterport.variant.models import Variant

DEAD = "plug pulled, tube and mains capacitor discharged"
LIVE = "on an isolation transformer, one hand"
OHMS, VOLTS = "ohmmeter", "multimeter, direct voltage"
JOINED = f"below {written(JOINED_OHM, 'ohm')}, the meter's own leads taken off"
JUNGLE = "the ground pin of the jungle IC"
REWRITE = "Write what you measured into the variant file and build again before you solder."


def how(*path: str) -> str:
    """How a key of the variant file is found, in the words of the survey."""
    survey = keys_by_path()[path].survey
    return said(survey.how) if survey else ""


def before(
    circuit: Circuit,
    variant: Variant,
    findings: Sequence[Finding],
    figures: Sequence[Figure],
    states: Sequence[Outcome],
) -> tuple[Check, ...]:
    """The checks in a safe order: papers, a dead set, then a set under power."""
    facts = Facts(circuit, variant, findings, figures, states)
    dead = (*_isolation(facts), *_colours(facts), *_blanking_dead(facts), *_sync(facts), *_sound(facts))
    return (*dead, *_rail(facts), *_blanking_live(facts), *_bias(facts), *_gate(facts), _scan(facts))


def _isolation(facts: Facts) -> Iterator[Check]:
    """Whether there may be a board at all."""
    tv, first, second = facts.tv, *COLD_LEAKAGE_OHM
    asked = " or ".join(f"{written(low, 'ohm')} to {written(high, 'ohm')}" for low, high in (first, second))
    yield Check(
        "ground-isolated",
        "Is the signal ground isolated from the mains?",
        "as the service manual says for its leakage test",
        how("set", "signal_ground"),
        "the instruments of the manual's test",
        "",
        "",
        f"The file says: isolated, verified by: {said(tv.ground_verified)}.",
        "The leakage test of the service manual is passed, on this set, and written down with name and date.",
        "Stop. Nothing may be joined to this set. Put the back on.",
        "service manual of the set",
        decides=True,
    )
    yield Check(
        "ground-cold",
        "Resistance from the mains plug to the signal ground",
        f"{DEAD}, the set's own mains switch on",
        "Measure from each blade of the mains plug, with the leads both ways round. This does not replace the leakage "
        "test: it only finds a set that is plainly live.",
        OHMS,
        "each blade of the mains plug in turn",
        facts.at("ground"),
        "The file says: isolated.",
        f"No less than the manual asks. Two makers ask {asked}; it differs by model.",
        "A low reading means that the ground is live. Stop. Nothing may be joined to this set.",
        "service manuals of two set makers",
        decides=True,
    )
    yield Check(
        "ground-jacks",
        "Is the jungle's ground that of the jacks?",
        DEAD,
        "Measure from the outside of a jack of the set, or from the shield of the tuner, to the ground landing.",
        OHMS,
        "the outside of a jack of the set",
        facts.at("ground"),
        "The file takes it for granted.",
        JOINED,
        "Stop. The jacks may be isolated while the jungle IC is live: make the leakage test at the jungle's ground.",
        PRACTICE,
        decides=True,
    )
    for name, path in (("ground", "ground_at"), ("ground-2", "second_ground_at")):
        if facts.lands(name):
            place = said(getattr(facts.tv, path))
            yield Check(
                f"{name}-at",
                f"The {name} landing",
                DEAD,
                how("set", "ground_at") if name == "ground" else how("set", "second_ground_at"),
                OHMS,
                JUNGLE,
                facts.at(name),
                f"The file says: {place}." if place else "The file does not say where.",
                JOINED,
                "Look for another place at the jungle IC. A far ground brings hum and bars into the picture.",
                PRACTICE,
            )


def _colours(facts: Facts) -> Iterator[Check]:
    rgb = facts.tv.rgb
    fitted = "75 ohm stay in the set" if rgb.termination_fitted else "no 75 ohm in the set"
    near = f"near {written(VIDEO_IMPEDANCE_OHM, 'ohm')}"
    yield Check(
        "colours-terminated",
        "Terminations at the colour landings",
        f"{DEAD}, board not joined",
        how("set", "rgb", "termination_fitted"),
        OHMS,
        listed([facts.at(colour) for colour in COLOURS]),
        facts.at("ground"),
        f"The file says: {fitted}.",
        f"{near}, all three alike" if rgb.termination_fitted else f"far above {written(VIDEO_IMPEDANCE_OHM, 'ohm')}",
        f"A second termination makes the picture dim. {REWRITE}",
        PRACTICE,
    )
    stays = rgb.coupling_fitted
    says = f"a capacitor of {written(stays, 'F')} stays in the set" if stays else "no capacitor stays in the set"
    yield Check(
        "colours-coupled",
        "Capacitors at the colour landings",
        f"{DEAD}, board not joined",
        how("set", "rgb", "coupling_fitted"),
        "eyes and the circuit diagram",
        "",
        "",
        f"The file says: {says}.",
        "As the file says, at all three landings.",
        f"Two capacitors in a row are less than either; none at all puts the source on the pin. {REWRITE}",
        PRACTICE,
    )


def _blanking_dead(facts: Facts) -> Iterator[Check]:
    pin = facts.tv.blanking
    expect = {
        "grounded": f"{JOINED}, before the pin is lifted",
        "open": "no connection, with the leads both ways round",
        "driven": "neither a short nor no connection: a part of the set ends there",
    }[pin.native]
    if pin.native == "driven" and pin.native_resistance:
        expect += f"; the file says {written(pin.native_resistance, 'ohm')} between the pin and what drives it"
    yield Check(
        "blanking-native",
        "What the set does with the blanking pin, without power",
        f"{DEAD}, board not joined",
        how("set", "blanking", "native"),
        OHMS,
        facts.at("blanking"),
        facts.at("ground"),
        f"The file says: {pin.native}.",
        expect,
        f"The pin would not be given back as it was. {REWRITE}",
        PRACTICE,
    )
    left = pin.fitted_resistor
    yield Check(
        "blanking-fitted",
        "A resistor that stays on the blanking pin",
        f"{DEAD}, the native wire of the pin lifted",
        how("set", "blanking", "fitted_resistor"),
        OHMS,
        facts.at("blanking"),
        facts.at("ground"),
        f"The file says: {written(left, 'ohm') if left else 'none'}.",
        f"near {written(left, 'ohm')}" if left else "no connection but that of the pin itself",
        f"With another resistor the pin gets another voltage. {REWRITE}",
        PRACTICE,
    )


TERMINATED = {"none": "no 75 ohm", "movable": "75 ohm that can be moved", "fixed": "75 ohm that stay"}


def _sync(facts: Facts) -> Iterator[Check]:
    sync = facts.tv.sync
    bare = f"near {written(sync.resistance, 'ohm')}, or no connection where a capacitor lies between; not near 75 ohm"
    yield Check(
        "sync-terminated",
        "Termination at the sync landing",
        f"{DEAD}, nothing in any jack, before anything is lifted",
        how("set", "sync", "termination"),
        OHMS,
        facts.at("sync"),
        facts.at("ground"),
        f"The file says: {TERMINATED[sync.termination]}; {written(sync.resistance, 'ohm')} without.",
        bare if sync.termination == "none" else f"near {written(VIDEO_IMPEDANCE_OHM, 'ohm')}",
        f"A second termination makes sync weak, a missing one makes it too strong. {REWRITE}",
        PRACTICE,
    )
    jack = said(sync.shares)
    yield Check(
        "sync-shares",
        "Which jack shares the sync landing",
        f"{DEAD}, before anything is lifted",
        how("set", "sync", "shares"),
        OHMS,
        facts.at("sync"),
        f"the centre of {jack}" if jack else "the centre of each video jack in turn",
        f"The file says: {jack or 'none'}; arrangement {sync.arrangement}.",
        _meets(sync.arrangement, jack),
        f"Two sources on one landing give two pictures on top of each other. {REWRITE}",
        PRACTICE,
    )
    for key, words in (("front_jack", "a further jack at the front"), ("s_video", "an S-video socket")):
        value = getattr(sync, key)
        if value != "none":
            yield Check(
                f"sync-{key.replace('_', '-')}",
                f"What {words} does to the sync landing",
                DEAD,
                how("set", "sync", key),
                OHMS,
                facts.at("sync"),
                f"the centre of {jack}" if jack else "the centre of the composite jack",
                f"The file says: {value}.",
                "As the file says, with a bare plug in and out.",
                f"A plug there would take sync away or bring a second one. {REWRITE}",
                PRACTICE,
            )


def _meets(arrangement: str, jack: str) -> str:
    if not jack:
        return "no connection to any jack"
    if arrangement == "after-switch":
        return "no direct connection: the landing lies behind the set's input switch"
    return f"{JOINED}, or a small resistor in between, before the landing is lifted"


def _sound(facts: Facts) -> Iterator[Check]:
    audio = facts.tv.audio
    if audio is None or not facts.sides:
        return
    jack = said(audio.shares)
    yield Check(
        "sound-lands",
        "Where sound lands",
        f"{DEAD}, before anything is lifted",
        how("set", "audio", "shares"),
        OHMS,
        listed([facts.at(side) for side in facts.sides]),
        f"the centres of {jack}" if jack else "the centre of each sound jack in turn",
        f"The file says: {jack or 'no jack'}; arrangement {audio.arrangement}; {audio.channels}.",
        _meets(audio.arrangement, jack),
        f"Two sources on one landing are heard together. {REWRITE}",
        PRACTICE,
    )
    if audio.channels == "stereo":
        yield Check(
            "sound-sides",
            "Which side is which",
            f"{DEAD}, before anything is lifted",
            "Measure from the landing to the jack of each side.",
            OHMS,
            facts.at("left"),
            "the centre of the left jack of the set, then of the right one",
            "The file names a place for each side.",
            "A connection to left, none to right.",
            "Exchange at_left and at_right in the variant file.",
            PRACTICE,
        )


def _rail(facts: Facts) -> Iterator[Check]:
    supply = facts.tv.supply
    yield Check(
        "rail-voltage",
        "Voltage of the rail",
        f"{LIVE}, board not joined",
        how("set", "supply", "voltage"),
        VOLTS,
        facts.at("rail"),
        facts.at("ground"),
        f"The file says: {facts.rail}.",
        f"{facts.rail}, steady, with picture and sound",
        f"Do not join the board: another voltage may destroy it. {REWRITE}",
        PRACTICE,
        decides=True,
    )
    gone = supply.kind == "run"
    yield Check(
        "rail-standby",
        "The rail in standby",
        f"{LIVE}, board not joined",
        how("set", "supply", "kind"),
        VOLTS,
        facts.at("rail"),
        facts.at("ground"),
        f"The file says: {'a run rail, which vanishes' if gone else 'a standby rail, which stays'}.",
        f"falls to {written(0.0, 'V')} when the set goes to standby" if gone else "stays in standby",
        f"{'A rail that stays feeds a dead jungle IC through the board.' if gone else ''} {REWRITE}".strip(),
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
        f"{LIVE}, board not joined, the set's own picture on the screen",
        f"Read the voltage before anything is lifted.{menu}",
        VOLTS,
        facts.at("blanking"),
        facts.at("ground"),
        f"The file says: {pin.native}, off below {written(pin.off_below, 'V')}, on above {written(pin.on_above, 'V')}, "
        f"at most {written(pin.maximum, 'V')}.",
        expect,
        f"This may not be the blanking pin, or it is active low. Look it up in the data sheet. {REWRITE}",
        "data sheet of the jungle IC",
    )


def _bias(facts: Facts) -> Iterator[Check]:
    sync = facts.tv.sync
    if sync.coupling == "dc":
        yield Check(
            "sync-bias",
            "Direct voltage on the sync landing",
            f"{LIVE}, board not joined",
            how("set", "sync", "bias"),
            VOLTS,
            facts.at("sync"),
            facts.at("ground"),
            f"The file says: {written(sync.bias, 'V')}.",
            f"near {written(sync.bias, 'V')}",
            f"The capacitor of the board may sit the wrong way round. {REWRITE}",
            PRACTICE,
        )


def _gate(facts: Facts) -> Iterator[Check]:
    if not facts.lands("gate"):
        return
    gate = facts.variant.selector
    yield Check(
        "gate-levels",
        "Levels of the gate line",
        f"{LIVE}, board not joined",
        f"{how('selector', 'gate_active')} Then select something else.",
        VOLTS,
        facts.at("gate"),
        facts.at("ground"),
        f"The file says: {gate.gate_active} lets the board act; low is at most {written(gate.gate_low, 'V')}, high at "
        f"least {written(gate.gate_high, 'V')} and at most {written(gate.gate_maximum, 'V')}.",
        f"{gate.gate_active} with the right input selected, the other level with everything else",
        f"The board would act at the wrong time. {REWRITE}",
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
        f"The file says: {facts.tv.scan}.",
        f"{listed(rates, 'or')}",
        "A set that doubles the line rate in front of these pins cannot take this board. Stop.",
        "ITU-R BT.470",
        decides=True,
    )
