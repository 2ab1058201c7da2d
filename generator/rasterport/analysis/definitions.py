"""What every figure is: title, unit, formula and the source of the formula.  The one place; `--explain` prints it.

A figure's key may end in a number and a unit ("return-loss/5.5MHz"): its definition is that of the part before "/".
"""

from __future__ import annotations

from dataclasses import dataclass

NODAL = "nodal analysis of the finished parts and nets"
LINES = "transmission-line handbooks"
PRACTICE = "common practice, no source"
CHARGE = "charge of a capacitor"
HULL = "hull of the sources"


@dataclass(frozen=True, slots=True)
class Definition:
    """Title of a figure, its unit, how it is worked out, and by whose rule."""

    key: str
    title: str
    unit: str
    formula: str
    source: str


def _rows(*rows: tuple[str, str, str, str, str]) -> dict[str, Definition]:
    return {row[0]: Definition(*row) for row in rows}


DEFINITIONS = _rows(
    # Colour lines.
    (
        "level", "white at the landing", "V",
        "|V(landing)| at 100 kHz of a source of 2 x 0.7 V behind 75 ohm", "levels of EN 50049-1; " + NODAL,
    ),
    (
        "level-weakest", "white of the weakest source allowed", "V",
        "level x (lowest white of a source / 0.7 V)", "span of EN 50049-1 as one set maker's manual gives it, -3 dB",
    ),
    (
        "level-strongest", "white of the strongest source allowed", "V",
        "level x (highest white of a source / 0.7 V)", "span of EN 50049-1 as one set maker's manual gives it, +3 dB",
    ),
    (
        "level-error", "error of white at the landing", "dB",
        "|20 log10(level / white that the pin wants)|, at most 0.7 V being wanted of resistors", NODAL,
    ),
    (
        "brightness", "change of brightness against the set's own inputs", "dB",
        "20 log10(level / white that the pin wants); positive is brighter", NODAL,
    ),
    (
        "contrast", "contrast that the set must make up", "dB",
        "20 log10(white that the pin wants / 0.7 V)", NODAL,
    ),
    (
        "mismatch", "greatest ratio of two colours", "%",
        "100 (level of one colour / level of another - 1), every pair, every corner", NODAL,
    ),
    (
        "black", "black at a pin without a clamp", "V",
        "direct voltage at the landing of a source of 2 x its black behind 75 ohm, of rails and of the pin's current",
        NODAL,
    ),
    (
        "black-error", "error of black at a pin without a clamp", "V",
        "|black - direct voltage that means black at the pin|", NODAL,
    ),
    (
        "black-lag", "black behind the board's clamp while the picture changes, of white", "%",
        "100 x 0.57 V / 33 ms x line period / (1 - exp(-key / R C)), both of white as it arrives", CHARGE,
    ),
    (
        "keyed-droop", "droop of white over a line behind the board's clamp", "%",
        "100 (leakage of pin and switch + (black + white) / R pin) x active line / C / white", CHARGE,
    ),
    (
        "keyed-settling", "settling of the board's clamp after a change", "s",
        "line period x ln(0.57 V / 1 % of white) R C / key", CHARGE,
    ),
    (
        "key-margin", "from the end of the clamp's key to the begin of the picture", "s",
        "back porch - delay of the separator - length of its pulse", "timing of ITU-R BT.470",
    ),
    (
        "trimmed-level", "white with the trimmer at a stop, distance from what the pin wants", "dB",
        "|20 log10(level / white that the pin wants)| with 2 ohm or all of the track in circuit", NODAL,
    ),
    (
        "trimmed-loss", "return loss with the trimmer at a stop", "dB",
        "-20 log10 |(Z - 75) / (Z + 75)|, the least at DC, 1 MHz and 5.5 MHz", LINES,
    ),
    (
        "wiper-open", "white with the wiper of the trimmer open, distance from what the pin wants", "dB",
        "|20 log10(level / white that the pin wants)| without a contact of the wiper", NODAL,
    ),
    (
        "trim-room", "room of the trimmers beyond what sets the colours alike", "%",
        "100 (lowest of the upper stops / highest of the lower stops - 1) over the three colours", NODAL,
    ),
    (
        "return-loss", "return loss at the socket", "dB",
        "-20 log10 |(Z - 75) / (Z + 75)|, Z at the contact; above 60 dB written as at least 60", LINES,
    ),
    ("load", "load at the socket", "ohm", "|Z| at the contact", NODAL),
    (
        "bandwidth", "-3 dB frequency at the landing", "Hz",
        "f at which |V(landing)| has fallen to 1 / sqrt(2) of its value at 100 kHz, colours alike; at most 1 GHz",
        NODAL,
    ),
    (
        "pixel", "level of a pixel", "dB",
        "20 log10 |V(landing) at half the pixel clock / V(landing) at 100 kHz|: a bright and a dark pixel make a sine; "
        "colours alike",
        NODAL,
    ),
    (
        "level-alone", "level of one colour alone against 100 kHz", "dB",
        "20 log10 |V(landing) at f / V(landing) at 100 kHz|, neighbours silent and loading the lead, worst colour",
        NODAL,
    ),
    ("level-relative", "level against 100 kHz", "dB", "20 log10 |V(landing) at f / V(landing) at 100 kHz|", NODAL),
    (
        "droop", "droop of white over a line", "%",
        "100 (I_leak / white + 1 / R) t_active / C; worst leakage over the longest active line, R all that leads from "
        "the pin to ground",
        CHARGE,
    ),
    ("coupling", "coupling capacitance", "F", "what the clamp moves: Im(1 / Z) / (2 pi f) at the pin, 10 Hz", NODAL),
    (
        "cut-following", "following of a cut at the clamp", "times",
        "I_clamp t_clamp / C over 0.57 V / 33 ms x line period: what the clamp moves in a line over what black runs",
        "source coupled by 220 uF into 150 ohm, the smallest usual; charge of a capacitor",
    ),
    (
        "settling-lines", "settling of the clamp after a change, in lines", "lines",
        "(0.57 V - V_k) C / (I_clamp t_clamp) + R C / t_clamp ln(V_k / V_e): V_e is 1 % of 0.7 V, V_k is I_clamp R, at "
        "least V_e, R what the clamp sees; leakage left out",
        CHARGE,
    ),
    ("settling", "settling of the clamp after a change", "s", "settling in lines x line period", CHARGE),
    (
        "field-tilt", "tilt over half a field behind a capacitor into 75 ohm", "%",
        "100 (1 - exp(-10 ms / R C)) of a step of half a field, R all resistance in the capacitor's loop",
        "charge of a capacitor; a half-field picture is the usual test",
    ),
    (
        "crosstalk", "crosstalk between colours", "dB",
        "20 log10(|V| at the landing of a silent colour / |V| at the landing of the one that is driven), through the "
        "capacitance between neighbouring leads and the parts, the worst pair", NODAL,
    ),
    (
        "shift", "expected sideways shift of the picture, positive to the left", "s",
        "luminance delay of the set + delay of sync on the board - delay of RGB on the board; true if the set's phase "
        "control is centred for its own inputs", PRACTICE,
    ),
    (
        "shift-share", "expected sideways shift in percent of the picture's width, positive to the left", "%",
        "100 x shift / active line", PRACTICE,
    ),
    # The set's own display on the same pins.
    (
        "picture-error", "error of white at the landing beside the set's display", "dB",
        "|20 log10(level / white that can be had)|: what the pin wants, at most 0.7 V (1 - white of menus / span of "
        "the display)", NODAL,
    ),
    (
        "picture-contrast", "contrast that the set must make up for its display", "dB",
        "20 log10(white that the pin wants / white that can be had beside the display)", NODAL,
    ),
    (
        "menu-level", "white of the set's own menus at the pin", "V",
        "|V(pin)| with the display on less that without a menu, source in its contact and black; native on 36 ohm",
        NODAL,
    ),
    (
        "menu-level-unplugged", "white of menus with nothing in the contact", "V",
        "as white of menus, the termination alone behind the series resistor", NODAL,
    ),
    ("menu-error", "error of the menus' white", "dB", "|20 log10(white of menus / white wanted of menus)|", NODAL),
    (
        "menu-error-unplugged", "error of the menus' white with nothing in the contact", "dB",
        "|20 log10(white of menus / white wanted of menus)|", NODAL,
    ),
    (
        "menu-unplugged", "change of menus when the source is unplugged", "dB",
        "20 log10(white of menus with nothing in the contact / with a source); positive is brighter", NODAL,
    ),
    (
        "menu-mismatch", "greatest ratio of two colours of a menu, nothing in the contacts", "%",
        "100 (white of one colour / white of another - 1), every pair, every corner", NODAL,
    ),
    (
        "menu-edge", "edge of the display at the pin, 10 to 90 %", "s",
        "step of the display's output through its resistance, capacitance of lead and pin included",
        "modes of the finished parts and nets: sums of exponentials",
    ),
    (
        "under-menu", "change of the input's picture under white of a menu", "dB",
        "20 log10(|V(pin)| of the source with the display on / without a menu)", NODAL,
    ),
    (
        "both-white", "white of an input under white of a menu", "V",
        "|V(pin)| with source and display at white, above black", NODAL,
    ),
    (
        "menu-return-loss", "return loss at the socket under white of a menu", "dB",
        "-20 log10 |(Z - 75) / (Z + 75)|, Z at the contact with the display on", LINES,
    ),
    (
        "menu-black", "black of menus and of the picture apart, where they take turns", "V",
        "|V(pin's side of the switch) with a menu's background - the same with the source's black|, at direct voltage",
        NODAL,
    ),
    (
        "foreign", "a source that is on, at the pin in the native state", "dB",
        "20 log10(|V(pin)| native through the capacitance of open contacts / the same with the input chosen)", NODAL,
    ),
    # Sync.
    ("sync-level", "sync at the landing", "V", "|V(landing)| at 100 kHz, source of 0.3 V of sync into 75 ohm", NODAL),
    (
        "sync-highest", "highest peak-to-peak level at the sync landing", "V",
        "sync level x (highest level of what arrives / 0.3 V)", NODAL,
    ),
    ("sync-drive", "current asked of a logic-level source of sync", "A", "V_high / total resistance", NODAL),
    ("logic-level", "level of a logic source against a threshold", "V", "as promised by the source", "maker's sheet"),
    (
        "native-change", "change of the set's own signal through the board", "dB",
        "|20 log10(|V(landing)| with the board / without)| for a feed of 37.5 ohm", NODAL,
    ),
    # Plugs in the set's own jacks.
    (
        "plugged-change", "loss of the input at the set's circuit, plug in", "dB",
        "|20 log10(|V(set's circuit)| with the plug / without)|, the input driven, the plug's source silent; at most "
        "60", NODAL,
    ),
    (
        "plugged-other", "loss of the plug's own signal while the input is chosen, plug in", "dB",
        "|20 log10(|V(set's circuit)| of the plug's source / the same on the circuit by a wire)|, the input silent; at "
        "most 60", NODAL,
    ),
    (
        "plugged-load", "load on the source of the input, plug in", "ohm",
        "|V / I| at the sync contact at 100 kHz with a plug in a jack of the set", NODAL,
    ),
    (
        "plugged-return-loss", "return loss of the sync contact at 5.5 MHz, plug in", "dB",
        "-20 log10 |(Z - 75) / (Z + 75)|, Z at the contact with a plug in a jack of the set", LINES,
    ),
    # Audio.
    (
        "audio-level", "loudest level at the landing", "V r.m.s.",
        "|V(landing)| at 1 kHz of the loudest source, 1 ohm strong; both channels in phase where they are summed",
        NODAL,
    ),
    (
        "audio-loss", "loss against the loudest level allowed", "dB",
        "20 log10(the lesser of the source's and the landing's maximum / audio level), not below 0", NODAL,
    ),
    (
        "audio-corner", "-3 dB at the low end", "Hz",
        "f at which |V(landing)| has fallen to 1 / sqrt(2) of its value at 1 kHz, source 1 ohm", NODAL,
    ),
    ("audio-load", "load on the audio source at 1 kHz", "ohm", "|Z| at the contact", NODAL),
    # Blanking.
    (
        "blanking-on", "voltage at the blanking pin when active", "V",
        "supply through the divider with the pin's current of either sign", NODAL,
    ),
    (
        "blanking-off", "voltage at the blanking pin when native", "V",
        "the pin's own current into what the board leaves on it, 0 to 0.25 V behind a high-side stage that is off",
        NODAL,
    ),
    (
        "blanking-open", "voltage at the blanking pin with one resistor open", "V",
        "as when active, one resistor of the divider taken out", NODAL,
    ),
    ("blanking-left", "resistor that the board leaves on the native wire", "ohm", "the least of them", NODAL),
    # Blanking where the set's display drives the pin too.
    (
        "meeting-on", "voltage at the blanking pin by the board, the display or both", "V",
        "drives less a forward voltage through the divider, pin current of either sign; blocked diodes leak",
        NODAL,
    ),
    (
        "meeting-off", "voltage at the blanking pin without input and menu", "V",
        "the pin's own current into the lower resistor, and what the display's low level lets through", NODAL,
    ),
    (
        "meeting-kept", "what both drives together give more than the greater of either", "V",
        "V(both) - max(V(board), V(display)); below 0 one pulls the other down", NODAL,
    ),
    (
        "meeting-open", "voltage at the blanking pin by both drives, one resistor open", "V",
        "as by both, one resistor taken out", NODAL,
    ),
    (
        "meeting-given", "current that the display's blanking output gives", "A",
        "(level - V(landing)) / resistance of the output, a menu shown in the native state", NODAL,
    ),
    (
        "meeting-rise", "edge of blanking when a menu begins", "s",
        "10 to 90 % at the pin: exponentials of the network with its capacitances, the display's diode conducting",
        NODAL + "; diode 10 pF, pin 5 pF, lead 50 pF/m",
    ),
    (
        "meeting-fall", "edge of blanking when a menu ends", "s",
        "90 to 10 % at the pin: exponentials of the network with its capacitances, no diode conducting",
        NODAL + "; diode 10 pF, pin 5 pF, lead 50 pF/m",
    ),
    (
        "meeting-delay", "delay of blanking behind the display's own colours", "s",
        "until the inverter's input passes its threshold, and the delay of each inverter; the slower edge",
        NODAL + "; 74HCT14 sheets, from memory",
    ),
    (
        "meeting-level", "level of the display at the inverter behind its blanking", "V",
        "the display's output through what lies in front of the inverter", NODAL,
    ),
    ("meeting-reverse", "reverse voltage of a diode at the blanking pin", "V", "highest of both drives", HULL),
    # Status, high-side stage, gate line: worst-case models of transistors.
    (
        "status-off-edge", "contact voltage up to which the stage is off", "V",
        "V_BE(30 uA) (1 + R_series / R_base), V_BE = V_ref - 2 mV/K (T - 25 C) + kT/q ln(I / 2 mA)",
        "makers' sheets: V_ref 0.58 to 0.70 V at 2 mA; 0 to 70 C",
    ),
    (
        "status-on-edge", "contact voltage from which the stage is on", "V",
        "V_BE(I_C) (1 + R_series / R_base) + I_C / gain x R_series", "makers' sheets: gain 110 to 800; 0 to 70 C",
    ),
    ("status-load", "load on the status contact", "ohm", "resistance to ground with the base at ground", NODAL),
    ("status-capacitance", "capacitance on the status contact", "F", "all capacitors within reach together", NODAL),
    (
        "status-fault", "12 V on the status contact: greatest share of a rating", "of rating",
        "V^2 / R / rating at 70 C, for ever", NODAL,
    ),
    (
        "gain", "current gain asked of a transistor", "times",
        "load with the supply high / base current with the supply low, V_BE highest and cold", "Kirchhoff's laws",
    ),
    (
        "call-high", "a call that is off, as a share of the supply of what reads it", "of supply",
        "(V_low - (30 uA + input current) R_pull) / V_low", "Ohm's law; makers' sheets",
    ),
    ("gate-off-edge", "gate line surely low up to", "V", "as the off edge of the status stage", "makers' sheets"),
    ("gate-on-edge", "gate line surely high from", "V", "as the on edge of the status stage", "makers' sheets"),
    ("gate-current", "current from the gate line", "A", "(V_max - 0.4 V) / R_series", "Ohm's law"),
    # Several inputs.
    (
        "changing", "time from a change of input to a settled picture", "s",
        "release and operate time of the relays, then the settling of the clamp", "makers' sheets; " + CHARGE,
    ),
    (
        "isolation", "one other input through its open switch", "dB",
        "20 log10(2 pi f C_feedthrough |Z(common)| against the chosen source there)", NODAL,
    ),
    (
        "switch-room", "room of a line in the supply of its analog switch", "V",
        "half of the lowest supply, less leakage into the bias and the greatest height of what arrives, which may "
        "stand on either side of its mean",
        NODAL,
    ),
    (
        "native-end", "what a colour landing ends on when native", "ohm", "|Z| of the board there at 1 MHz", NODAL,
    ),
    (
        "switch-bias", "distance of a terminal of an analog switch from half of its supply, as a share of that", "1",
        "|V / (V_supply / 2) - 1|, every switch open, no signal", NODAL,
    ),
    (
        "separator-input", "level at the sync separator", "V",
        "span of the source, peak to peak, behind the capacitor in front of it, at 100 kHz", NODAL,
    ),
    (
        "separator-droop", "droop at the input of the sync separator over a line", "V",
        "I_input t_line / C_input", "maker's sheet",
    ),
    ("separator-set", "resistor that sets the timing of the sync separator", "ohm", "netlist", "maker's sheet"),
    ("separator-time", "capacitor beside it", "F", "netlist", "maker's sheet"),
    # Supply, relays, parts.
    (
        "rail-current", "current from the rail", "A",
        "every path from the rail; conducting transistors and junctions as 1 ohm, chips as their sheets say, the "
        "current of the blanking pin and of a stage that is just off: an upper bound",
        NODAL,
    ),
    ("regulator-input", "voltage at the regulator's input", "V", "rail low less the drop of the element", NODAL),
    ("junction", "junction of the regulator", "C", "70 C + ((V_in - V_out) I + V_in I_q) R_th", "maker's sheet"),
    ("element-current", "current through the element of the tap", "A", "rail current", NODAL),
    ("chip-supply", "supply of a chip", "V", "the net's lowest or highest voltage", NODAL),
    (
        "relay-margin", "coil current over pull-in when hot", "%",
        "V / (R_hot + R_series) over V_operate / R - 1, R_hot = R (1 + 0.0039 (70 C + rise - 20))",
        "maker's sheet; temperature coefficient of copper",
    ),
    (
        "coil-power", "greatest power in a hot coil", "W",
        "V_high^2 R / (R + R_series)^2, R anywhere in the coil's tolerance at 70 C and its own rise",
        "maker's sheet; temperature coefficient of copper",
    ),
    ("driver-gate", "voltage at the gate of a coil driver, active", "V", "through resistors from the supply", NODAL),
    (
        "rail-off-current", "peak current into a landing, set off and every source on, settled", "A",
        "highest level of the source less the junctions of a dead pin, over the resistance that drives the landing",
        NODAL + "; 0.5 V a junction, judgement, stated",
    ),
    (
        "rail-off-surge", "current into a colour pin while its capacitor follows a change, set off", "A",
        "highest white of a source less one junction, over the resistance that drives the landing; some microseconds",
        NODAL + "; 0.5 V a junction, judgement, stated",
    ),
    (
        "rail-off-voltage", "voltage on a dead rail, every source on", "V",
        "what status and logic sources feed back through the control parts into a rail with the load of the set",
        NODAL + "; load of a dead rail, judgement, stated",
    ),
    ("dissipation", "dissipation of a part", "W", "V^2 / R, the greater of supply and sources", NODAL),
    (
        "pin-drive", "current into the pins of a chip beyond its supply, the rail on", "A",
        "(highest voltage of a contact - lowest supply - 0.3 V) / resistance between", "Ohm's law",
    ),
    ("voltage-share", "capacitor nearest to its rating", "1", "highest voltage across / rating", HULL),
    ("reverse-voltage", "reverse voltage of an electrolytic", "V", "highest at minus - lowest at plus", HULL),
    ("line-voltage", "highest voltage on the line of a clamp", "V", "highest that a source puts there", HULL),
    ("count", "number of them", "", "counted in the netlist", "netlist"),
)  # fmt: skip
"""Every figure by its key."""


def definition(key: str) -> Definition:
    """The definition of a figure.  Raises KeyError for one that has none."""
    return DEFINITIONS[key.split("/")[0]]
