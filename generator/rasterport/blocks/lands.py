"""Which landings a board has, in the order of its header, with what each wire carries and how to check it."""

from __future__ import annotations

from collections.abc import Mapping

from rasterport.blocks.board import COLOURS, GROUND
from rasterport.blocks.landing import Land
from rasterport.variant.models import Variant

STAGE = {"ground": 10, "rail": 30, "gate": 31, "native": 40, "sync": 41, "audio": 42, "colour": 50, "blanking": 60}
"""Order of work: ground first, blanking last, so that nothing is driven before its return is there."""


def lands_of(variant: Variant, pins: Mapping[str, str]) -> list[Land]:
    """The landings of the lines in `pins` (name -> net), grounds first."""
    tv = variant.set
    reach = tv.rgb.lead_length
    ohms = "below 1 ohm from the board's ground to the shield of the tuner, set unplugged"
    lands = [Land("ground", GROUND, tv.ground_at, "video return", STAGE["ground"], ohms, length_m=reach)]
    rail = f"{tv.supply.voltage:g} V within {tv.supply.tolerance:.0%} before it is joined"
    lands.append(Land("rail", pins["rail"], tv.supply.at, "supply rail", STAGE["rail"], rail))
    if "gate" in pins:
        levels = f"up to {variant.selector.gate_low:g} V low, from {variant.selector.gate_high:g} V high"
        lands.append(Land("gate", pins["gate"], variant.selector.gate_at, "gate line", STAGE["gate"], levels))
    lands += _sync_and_audio(variant, pins)
    lands.append(
        Land(
            "ground-2",
            GROUND,
            tv.second_ground_at or tv.ground_at,
            "colour return",
            STAGE["ground"],
            ohms,
            length_m=reach,
        )
    )
    shielded = tv.rgb.lead_kind == "coax"
    places = {"red": tv.rgb.at_red, "green": tv.rgb.at_green, "blue": tv.rgb.at_blue}
    for colour in COLOURS:
        text = "75 ohm to ground at the socket, source unplugged"
        lands.append(Land(colour, pins[colour], places[colour], colour, STAGE["colour"], text, shielded, reach))
    if "blanking-native" in pins:
        text = "the pin's own wire, lifted from the pin"
        at = tv.blanking.at_native
        lands.append(
            Land("blanking-native", pins["blanking-native"], at, "blanking from the set", STAGE["native"], text)
        )
    window = (
        f"native below {tv.blanking.off_below:g} V; RGB above {tv.blanking.on_above:g}, below {tv.blanking.maximum:g} V"
    )
    lands.append(
        Land("blanking", pins["blanking"], tv.blanking.at, "blanking", STAGE["blanking"], window, length_m=reach)
    )
    return lands


def _sync_and_audio(variant: Variant, pins: Mapping[str, str]) -> list[Land]:
    tv = variant.set
    lands: list[Land] = []
    if "sync-native" in pins:
        text = "the set's own jack, cut from its circuit"
        lands.append(
            Land(
                "sync-native", pins["sync-native"], tv.sync.at_native, "sync from the set", STAGE["native"], text, True
            )
        )
    lands.append(
        Land("sync", pins["sync"], tv.sync.at, "sync", STAGE["sync"], "0.3 V sync at this point, source on", True)
    )
    if tv.audio is None:
        return lands
    places = {
        "left-native": tv.audio.at_native_left,
        "left": tv.audio.at_left,
        "right-native": tv.audio.at_native_right,
        "right": tv.audio.at_right,
    }
    for name, at in places.items():
        if name not in pins:
            continue
        native = name.endswith("native")
        side = name.split("-")[0]
        carries = f"audio {side} from the set" if native else f"audio {side}"
        text = "the set's own jack, cut from its circuit" if native else "0 V direct voltage, set on"
        lands.append(Land(name, pins[name], at, carries, STAGE["native" if native else "audio"], text, True))
    if any(name in pins for name in places):
        lands.append(
            Land("ground-3", GROUND, tv.ground_at, "audio return", STAGE["ground"], "below 1 ohm to the board's ground")
        )
    return lands
