"""What no board can be made for, with the reason and what would help.  The safety gate comes first."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.design import constructions
from rasterport.design.black import lifted, reach_v
from rasterport.design.choosing import choosing, status_contacts
from rasterport.design.coupling import CUT_STEP_V
from rasterport.design.landings import SWITCHED, is_shared, separated, sync_landing
from rasterport.design.termination import loss_db, split_mismatch_pct, splits
from rasterport.errors import Refused, UnsafeSet
from rasterport.records import Finding
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.interface_levels import RGB
from rasterport.standards.limits import LIMITS, RESISTOR_SPREAD
from rasterport.units import short
from rasterport.variant.models import Variant

JUDGEMENT = "judgement, stated"
SEPARATOR_LOW_V, SEPARATOR_HIGH_V = 5.0, 12.0
"""Supply of the sync separator [V].  TI SNLS384G."""
SEPARATOR_LEAST_V = 0.5
"""Least video at the separator, peak to peak [V].  TI SNLS384G."""
ELEMENT_DROP_V = 0.2
"""What the element of the tap may cost [V]; the finished circuit is judged with its own."""
CMOS_LEAST_V = 4.5
"""Least rail that analog switches are promised for, before the diode of the tap [V]."""
CODES = {
    "F101": "signal ground of the set",
    "F102": "line rate of the set",
    "F103": "insertion of RGB",
    "F104": "kind of the colour pins",
    "F105": "coupling and termination in the set",
    "F106": "sync of the input",
    "F107": "sync of a DE-15 socket",
    "F108": "landings without a change-over",
    "F109": "path and panel switch",
    "F110": "relays on a low rail",
    "F111": "gate and panel switch",
    "F112": "status contact of the socket",
    "F113": "a value that cannot be found",
    "F114": "number of inputs of a path",
    "F115": "analog switches",
    "F116": "a landing that the set terminates, with several inputs",
    "F117": "a part that you chose",
    **constructions.CODES,
    "F230": "white that resistors cannot deliver",
    "F231": "trimmers and a termination that the set keeps",
    "F236": "black at pins without a clamp",
    "F237": "coupling in front of pins without a clamp",
    "F238": "the board's own keyed clamp",
    "F250": "a display on the colour pins without a change-over",
    "F251": "a display that comes in through a slow switch",
    "F252": "a display on the colour pins and analog switches",
    "F253": "what cannot be with a display on the colour pins",
    "F254": "blanking of a display on the colour pins",
}
"""What each refusal is about, those of a display apart."""

PRACTICE = "common practice, no source"

UNSAFE = (
    "No board is made for this set.  Its signal ground is {state}.  A set whose signal ground is connected to "
    "the mains puts mains voltage on every socket and on everything plugged into it: that kills people.  Do not "
    "connect anything to it.  What would help: a set with an isolated signal ground.  Whether a set has one is "
    "told by its service manual and by the leakage and isolation tests in it, done by somebody licensed and "
    "equipped to do them; local codes come first."
)

PIN_KINDS = {
    "digital": (
        "its pins take logic levels, not analog colour: what arrives is one of eight colours; measure whether a 0.35 V "
        "step changes the shade"
    ),
    "ypbpr": (
        "its pins take colour difference, not RGB: the picture would be green and violet; what tells: with a white or "
        "grey picture through that input two of the pins stand at black (0 V of picture), RGB pins all stand alike"
    ),
    "none": (
        "the processor has no colour inputs: RGB would have to be fed to the amplifiers at the tube's neck, behind "
        "contrast, beam limiter and blanking, and no board is made for that; what tells: the pin table of its data "
        "sheet names no R, G and B inputs, and the display's dots arrive (oscilloscope) as one line or not at all"
    ),
    "unknown": "find the pin kind first: service manual of the set or data sheet of the processor",
}


def codes() -> dict[str, str]:
    """What each refusal is about."""
    from rasterport.design import display_drive, switched

    return {**CODES, **display_drive.CODES, **switched.CODES}


def refuse_what_cannot_be(variant: Variant) -> None:
    """Raise UnsafeSet for a live or unverified ground, Refused with every other reason at once."""
    if variant.set.signal_ground != "isolated":
        state = "live" if variant.set.signal_ground == "live" else "not verified"
        finding = Finding(
            "F101", "error", "set.signal_ground", UNSAFE.format(state=state), source=PRACTICE, state="any"
        )
        raise UnsafeSet((finding,))
    findings = tuple(
        Finding(code, "error", subject, message, source=JUDGEMENT, state="any")
        for code, subject, message in (
            *_set(variant),
            *_shared(variant),
            *_white(variant),
            *_black(variant),
            *_sync(variant),
            *_selector(variant),
            *_inputs(variant),
            *_status(variant),
            *constructions.impossible(variant),
            *_display(variant),
        )
    )
    if findings:
        raise Refused(findings)


Reason = tuple[str, str, str]


def _set(variant: Variant) -> Iterator[Reason]:
    tv = variant.set
    if tv.scan == "double":
        yield (
            "F102",
            "set.scan",
            "the processor runs at twice the line rate: a 15 kHz source cannot be shown; what tells: 31 kHz at the "
            "horizontal output's drive (frequency counter or oscilloscope), where a set that serves has 15.6 kHz",
        )
    if tv.scan == "unknown":
        yield (
            "F102",
            "set.scan",
            "measure the line rate at the horizontal output's drive: 15.6 kHz is single, 31 kHz double",
        )
    if tv.rgb.pin_kind in PIN_KINDS:
        yield "F104", "set.rgb.pin_kind", PIN_KINDS[tv.rgb.pin_kind]
    if tv.rgb.termination_fitted and tv.rgb.white_level < 0.7:
        yield (
            "F105",
            "set.rgb.termination_fitted",
            "a termination that stays in the set leaves no place for the divider to the lower white level; lift it",
        )
    if tv.rgb.termination_fitted and tv.rgb.coupling_fitted is None and tv.rgb.pin_kind != "analog-dc":
        yield (
            "F105",
            "set.rgb.termination_fitted",
            "a termination that stays in the set would stand behind the board's coupling capacitor: land in front "
            "of the set's own capacitor and state coupling_fitted, or lift the termination",
        )


def _display(variant: Variant) -> Iterator[Reason]:
    """What blanking and menus of a display cannot be made of."""
    if not is_shared(variant) and not variant.board.opaque_menus:
        return
    from rasterport.design import display_drive, switched  # few sets have a display on these pins

    yield from display_drive.impossible(variant)
    yield from switched.impossible(variant)


def _shared(variant: Variant) -> Iterator[Reason]:
    """Pins that the set's own display drives too: what is not known of it, and what does not go with it."""
    tv, display = variant.set, variant.set.display
    if tv.rgb.insertion == "spare":
        if display is not None:
            yield (
                "F103",
                "set.rgb.insertion",
                "the variant tells of a display on the colour pins, and insertion spare says that nothing uses them: "
                "say shared, or leave [set.display] out",
            )
        return
    if display is None:
        yield (
            "F103",
            "set.rgb.insertion",
            "the set's own display drives these pins, and the board must bring both together: say in [set.display] "
            "what it puts out (its high level at least), or land at pins that nothing uses",
        )
        return
    if display.takes_over == "slow-switch":
        yield (
            "F251",
            "set.display.takes_over",
            "the display's colours go through a switch of their own that is thrown slowly: its lines are not those of "
            "the pins, and what is on them besides reaches the picture a character late; land behind that switch, "
            "where the pins are, or in front of it at the inputs that carry no menu",
        )
    if variant.selector.path == "direct":
        yield (
            "F250",
            "selector.path",
            "without a change-over a source that is on stands on the display's lines in the native state: the clamp "
            "samples a foreign picture and menus change colour with it; choose path gang or relay",
        )
    if variant.selector.path == "cmos":
        yield (
            "F252",
            "selector.path",
            "an open analog switch gives the display no 36 ohm to end on, and its middle voltage wants a large "
            "capacitor in front of every series resistor: menus would change with the input; choose path gang or relay",
        )
    yield from _beside_display(variant)
    if tv.blanking.native != "driven":
        yield (
            "F254",
            "set.blanking.native",
            f"a display on the colour pins shows its menus by driving the blanking pin, found {tv.blanking.native}: "
            "say driven and follow its blanking output to the pin, or find out what else throws the switch",
        )


def _beside_display(variant: Variant) -> Iterator[Reason]:
    """Keys that say something that a display on the pins excludes."""
    rgb, display = variant.set.rgb, variant.set.display
    if rgb.pin_kind == "analog-dc":
        yield (
            "F253",
            "set.rgb.pin_kind",
            "pins without a clamp take the display's low level and the source's black as they are, and both together "
            "make black: nothing here judges that yet; land at pins that clamp, or at pins that nothing else uses",
        )
    if rgb.termination_fitted:
        yield (
            "F253",
            "set.rgb.termination_fitted",
            "75 ohm at the pins would leave next to nothing of the display: lift them, the board terminates each "
            "source",
        )
    if variant.board.trimmers:
        text = "input and display come together in fixed resistors, and a trimmer would move both: leave trimmers out"
        yield "F253", "board.trimmers", text
    if display is not None and display.drive == "open-collector" and display.idle == "high-impedance":
        yield (
            "F253",
            "set.display.idle",
            "an open collector that lets go is pulled up, which is the level of a white dot: say idle low, or find out "
            "what holds the lines down while no menu is shown",
        )


def _white(variant: Variant) -> Iterator[Reason]:
    """White above what a source delivers beyond what contrast makes up, or so low that 1 % is no match any more."""
    rgb, most_db = variant.set.rgb, LIMITS["contrast_make_up_db"].error or 0.0
    lacks_db = loss_db(rgb.white_level, WHITE_V)
    if lacks_db > most_db * (1 + 1e-9):
        yield (
            "F230",
            "set.rgb.white_level",
            f"the pins want {short(rgb.white_level)} V of white and resistors deliver {WHITE_V:g} V at most: the set's "
            f"contrast would have to make up {short(lacks_db, 2)} dB, {most_db:g} dB are allowed; land at a stage that "
            "wants 1 V or less, or put a video amplifier, which this board has not, between board and pins",
        )
    if variant.board.trimmers:
        if rgb.termination_fitted:
            yield (
                "F231",
                "board.trimmers",
                "a termination that stays in the set leaves the board none to trim: lift it, or leave trimmers out",
            )
        return
    apart = LIMITS["white_mismatch_pct"].error or 0.0
    if splits(rgb.white_level, WHITE_V) and not rgb.termination_fitted:
        found = split_mismatch_pct(rgb.white_level, WHITE_V, RESISTOR_SPREAD)
        if found > apart:
            yield (
                "F230",
                "set.rgb.white_level",
                f"a split down to {short(rgb.white_level)} V leaves two colours up to {short(found, 3)} % apart with "
                f"resistors of 1 %, {apart:g} % are allowed: set board.trimmers = true, or land at a stage that wants "
                "0.11 V or more",
            )


KEYED = "set board.keyed_clamp = true"


def _black(variant: Variant) -> Iterator[Reason]:
    """Pins without a clamp that are DC-coupled: black must be known, must be near ground, and must come through."""
    rgb = variant.set.rgb
    if variant.board.keyed_clamp:
        yield from _keyed(variant)
    if rgb.pin_kind != "analog-dc":
        return
    if rgb.coupling_fitted is not None:
        yield (
            "F237",
            "set.rgb.coupling_fitted",
            "a capacitor that stays in front of a pin without a clamp loses black behind the board, where nothing "
            "restores it: land behind it and leave coupling_fitted out, or lift it",
        )
    if rgb.termination_fitted:
        yield (
            "F237",
            "set.rgb.termination_fitted",
            "a termination that stays at a pin without a clamp would stand behind the resistor that protects the pin, "
            "or behind the board's clamp: lift it",
        )
    if rgb.black_level is None:
        yield "F236", "set.rgb.black_level", "the pins have no clamp: say which direct voltage means black there"
        return
    if variant.board.keyed_clamp:
        return
    for n, source in enumerate(variant.input, 1):
        if source.source_coupling != "dc":
            yield (
                "F237",
                f"input-{n}.source_coupling",
                f"the pins have no clamp and the source {'is' if source.source_coupling == 'ac' else 'may be'} "
                f"AC-coupled: black would move by up to {CUT_STEP_V:g} V with the picture; {KEYED}, or find out that "
                'the source is DC-coupled and say source_coupling = "dc"',
            )
            continue
        low, high = reach_v(rgb.white_level, WHITE_V, source.black_least, source.black_most)
        shift = lifted(variant)
        if shift is not None:
            lost_db, most_db = (
                loss_db(rgb.white_level / shift.gain, WHITE_V),
                LIMITS["contrast_make_up_db"].error or 0.0,
            )
            if lost_db > most_db:
                yield (
                    "F236",
                    "set.rgb.black_level",
                    f"a resistor to the rail that lifts black to {short(rgb.black_level)} V leaves so little of white "
                    f"that contrast would have to make up {short(lost_db, 2)} dB, {most_db:g} dB are allowed: {KEYED}",
                )
            continue
        if low > rgb.black_level + rgb.black_within or high < rgb.black_level - rgb.black_within:
            yield (
                "F236",
                "set.rgb.black_level",
                f"the pins want black at {short(rgb.black_level)} V, coupled directly it arrives from input-{n} at "
                f"{short(low, 3)} to {short(high, 3)} V: {KEYED}, or land at a stage whose black is there",
            )
    if variant.selector.path == "cmos":
        yield (
            "F237",
            "selector.path",
            "analog switches stand behind capacitors, and the pins have no clamp that restores black: choose path gang "
            "or relay",
        )


KEYED_LOW_V, ROOM_V = 4.5, 0.2
"""Least supply of the clamp's switch [V], and what it keeps above the strongest white [V]; judgement, stated."""


def _keyed(variant: Variant) -> Iterator[Reason]:
    """What the board's own clamp cannot do, or is not needed for."""
    rgb, subject = variant.set.rgb, "board.keyed_clamp"
    if rgb.pin_kind == "analog-clamped":
        text = "these pins clamp themselves, and two clamps would pull at one capacitor: leave keyed_clamp out"
        yield "F238", subject, text
    if len(variant.input) > 1 or variant.selector.path == "cmos":
        yield (
            "F238",
            subject,
            "the clamp takes its pulse from the sync of one input, and of several another may be chosen: make one "
            "board an input",
        )
    for n, source in enumerate(variant.input, 1):
        if source.sync != "composite-video":
            yield (
                "F238",
                f"input-{n}.sync",
                f"the clamp takes its pulse from a sync separator, which wants {SEPARATOR_LEAST_V:g} V and more of "
                "composite video; sync alone has 0.3 V, logic levels too much: feed composite video",
            )
    if not _separable(variant):
        yield (
            "F238",
            "set.supply.voltage",
            f"the clamp takes its pulse from a sync separator, which wants {SEPARATOR_LOW_V:g} to "
            f"{SEPARATOR_HIGH_V:g} V at every corner of the rail: take another rail",
        )
    top_v = (rgb.black_level or 0.0) + RGB.high * min(rgb.white_level, WHITE_V) / WHITE_V
    if top_v > KEYED_LOW_V - ROOM_V:
        yield (
            "F238",
            "set.rgb.black_level",
            f"the strongest white stands at {short(top_v, 3)} V, and the clamp's switch on 5 V lets pass "
            f"{short(KEYED_LOW_V - ROOM_V, 3)} V: land at a stage with a lower black",
        )


def _separable(variant: Variant) -> bool:
    """Whether the rail feeds a sync separator at every corner."""
    rail = variant.set.supply
    least = rail.voltage * (1 - rail.tolerance) - ELEMENT_DROP_V
    return least >= SEPARATOR_LOW_V and rail.voltage * (1 + rail.tolerance) <= SEPARATOR_HIGH_V


def _sync(variant: Variant) -> Iterator[Reason]:
    for n, source in enumerate(variant.input, 1):
        subject = f"input-{n}.sync"
        if source.sync == "separate":
            yield (
                "F106",
                subject,
                "separate H and V: their polarities change with the mode of the source, and a gate that combines one "
                "pair of polarities makes no sync of another; set the source to composite sync on the H contact, or "
                "put a combiner that senses polarity in front of the socket",
            )
        if source.sync == "on-green":
            yield (
                "F106",
                subject,
                "sync on green would reach the green pin below black, where many pins clip it into the clamp; take "
                "sync from the source's composite output",
            )
        if separated(variant, n) and not _separable(variant):
            yield (
                "F106",
                subject,
                f"the landing wants sync without picture, and a separator wants {SEPARATOR_LOW_V:g} to "
                f"{SEPARATOR_HIGH_V:g} V at every corner of the rail: land sync where the set separates it itself, "
                "feed composite sync, or take another rail",
            )
        if source.sync == "composite-video" and source.socket == "de-15":
            yield "F107", subject, "a DE-15 carries no composite video; say composite-sync or ttl-composite"


def _selector(variant: Variant) -> Iterator[Reason]:
    path, chosen = variant.selector.path, choosing(variant)
    tv = variant.set
    landings = {"set.sync": tv.sync.arrangement}
    if tv.audio is not None:
        landings["set.audio"] = tv.audio.arrangement
    if path == "direct":
        for name, arrangement in landings.items():
            if arrangement in SWITCHED:
                yield (
                    "F108",
                    f"{name}.arrangement",
                    f"path direct cannot give {name} back to the set ({arrangement}): choose path gang or relay, "
                    "or make the landing dedicated or normalled",
                )
        if chosen.by_status and tv.blanking.native == "driven":
            yield (
                "F108",
                "set.blanking.native",
                "the set drives this pin itself: path direct would drive against it; choose path relay",
            )
    if path == "gang" and chosen.by_status:
        yield "F109", "selector.control", "a panel switch is thrown by hand, not by a contact: choose path relay"
    if path == "relay" and tv.supply.voltage < 4.5:
        yield "F110", "selector.path", "a 3.3 V rail drives no signal relay when hot: choose path direct or gang"
    if variant.selector.gate == "line" and not chosen.by_status:
        yield "F111", "selector.gate", "a gate belongs to control by status; a panel switch needs none"
    if variant.selector.gate == "after-switch" and tv.sync.arrangement != "after-switch":
        yield (
            "F111",
            "selector.gate",
            "after-switch says that sync enters behind the set's input switch: set.sync.arrangement must say so too",
        )


MOST_INPUTS = {"direct": 1, "gang": 4, "relay": 3, "cmos": 8}
OTHER_PATH = {
    "direct": "choose path gang, relay or cmos",
    "gang": "rotary switches for low-level signals have no more positions for so many poles: choose path cmos",
    "relay": "a chain of three takes as much of the rail as most can spare: choose path cmos",
    "cmos": "make two boards",
}


MOVED = 'lift them, or move them to the jack\'s side of a change-over (termination "movable", arrangement "changeover")'
"""What helps where 75 ohm at the sync landing are in the way."""


def _inputs(variant: Variant) -> Iterator[Reason]:
    """What a path cannot carry, and the path that can."""
    path, count, tv = variant.selector.path, len(variant.input), variant.set
    if count > MOST_INPUTS[path]:
        most = "one input" if MOST_INPUTS[path] == 1 else f"up to {MOST_INPUTS[path]} inputs"
        text = f"path {path} carries {most}, found {count}: {OTHER_PATH[path]}"
        yield "F114", "selector.path", text
    if path == "cmos" and count == 1:
        yield "F114", "selector.path", "one input needs no analog switch: choose path relay, gang or direct"
    if count > 1 and path != "cmos" and sync_landing(variant).stays:
        yield (
            "F116",
            "set.sync.termination",
            f"75 ohm that stay at the landing would leave every input that is not chosen without a load: {MOVED}",
        )
    if count > 1 and path != "cmos" and tv.rgb.termination_fitted:
        text = "with several inputs each keeps its own 75 ohm: a second one at the landing costs 3.5 dB; lift it"
        yield "F116", "set.rgb.termination_fitted", text
    if path != "cmos":
        return
    if tv.supply.voltage * (1 - tv.supply.tolerance) < CMOS_LEAST_V:
        text = f"analog switches want a rail of {CMOS_LEAST_V:g} V and more at its low corner: choose path gang"
        yield "F115", "selector.path", text
    if sync_landing(variant).stays:
        text = f"an analog switch cannot drive the 75 ohm that stay at the landing: {MOVED}"
        yield "F115", "set.sync.termination", text
    if tv.rgb.termination_fitted:
        text = "an analog switch cannot drive the 75 ohm of the set's landings, and each input keeps its own: lift them"
        yield "F115", "set.rgb.termination_fitted", text


def _status(variant: Variant) -> Iterator[Reason]:
    for n in choosing(variant).by_status:
        source = variant.input[n - 1]
        there = status_contacts(source)
        if source.status_contact is None or str(source.status_contact) not in there:
            found = "nothing" if source.status_contact is None else str(source.status_contact)
            text = f"control by status needs contact {' or '.join(there)}, found {found}"
            yield "F112", f"input-{n}.status_contact", text
