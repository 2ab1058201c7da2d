"""Which landings a board has, in the order of its header, with what each wire carries."""

from __future__ import annotations

from collections.abc import Mapping

from rasterport.blocks.board import COLOURS, GROUND
from rasterport.blocks.landing import ALL_SCREENS, TAIL_M, Land
from rasterport.records import CHASSIS, SCREENS
from rasterport.variant.display import Display
from rasterport.variant.models import Variant

STAGE = {
    "ground": CHASSIS,
    "rail": 30,
    "gate": 31,
    "native": 40,
    "sync": 41,
    "audio": 42,
    "colour": 50,
    "blanking": 60,
    "screens": 70,
}
"""Order of work: ground first, blanking last of what reaches the set, so that nothing is driven before its return is
there; the screens are joined once all of them are there."""


def lands_of(variant: Variant, pins: Mapping[str, str]) -> list[Land]:
    """The landings of the lines in `pins` (name -> net), grounds first."""
    lines = [*_supply(variant, pins), *_sync_and_audio(variant, pins), *_colours(variant, pins)]
    return [*_grounds(variant, pins, any(land.shielded for land in lines)), *lines]


def _grounds(variant: Variant, pins: Mapping[str, str], screens: bool) -> list[Land]:
    tv, stage = variant.set, STAGE["ground"]
    reach = tv.rgb.lead_length
    lands = [
        Land("ground", GROUND, tv.ground_at, "video return", stage, length_m=reach),
        Land("ground-2", GROUND, tv.second_ground_at, "colour return", stage, length_m=reach),
    ]
    if "left" in pins:
        lands.append(Land("ground-3", GROUND, tv.ground_at, "audio return", stage))
    if screens:
        lands.append(Land(SCREENS, GROUND, "at the board's edge", ALL_SCREENS, STAGE["screens"], length_m=TAIL_M))
    return lands


def _supply(variant: Variant, pins: Mapping[str, str]) -> list[Land]:
    rail, selector = variant.set.supply, variant.selector
    lands = [Land("rail", pins["rail"], rail.at, "supply rail", STAGE["rail"])]
    if "gate" in pins:
        lands.append(Land("gate", pins["gate"], selector.gate_at, "gate line", STAGE["gate"]))
    return lands


def _sync_and_audio(variant: Variant, pins: Mapping[str, str]) -> list[Land]:
    sync, audio = variant.set.sync, variant.set.audio
    rows = [("sync-native", sync.at_native, "sync from the set"), ("sync", sync.at, "sync")]
    if audio is not None:
        rows += [
            ("left-native", audio.at_native_left, "audio left from the set"),
            ("left", audio.at_left, "audio left"),
            ("right-native", audio.at_native_right, "audio right from the set"),
            ("right", audio.at_right, "audio right"),
        ]
    lands = []
    for name, at, carries in rows:
        if name in pins:
            kind = "native" if name.endswith("native") else "sync" if name == "sync" else "audio"
            lands.append(Land(name, pins[name], at, carries, STAGE[kind], True))
    return lands


def _colours(variant: Variant, pins: Mapping[str, str]) -> list[Land]:
    tv, rgb, pin = variant.set, variant.set.rgb, variant.set.blanking
    shielded, reach = rgb.lead_kind == "coax", rgb.lead_length
    places = {"red": rgb.at_red, "green": rgb.at_green, "blue": rgb.at_blue}
    lands = [Land(c, pins[c], places[c], c, STAGE["colour"], shielded, reach) for c in COLOURS]
    if tv.display is not None:
        lands = [*_display(tv.display, pins, shielded, reach), *lands]
    if "blanking-native" in pins:
        net, carries = pins["blanking-native"], "blanking from the set"
        lands.append(Land("blanking-native", net, pin.at_native, carries, STAGE["native"]))
    return [*lands, Land("blanking", pins["blanking"], pin.at, "blanking", STAGE["blanking"], length_m=reach)]


def _display(keys: Display, pins: Mapping[str, str], shielded: bool, reach: float) -> list[Land]:
    """The lines of the set's own display, which come in where they were lifted or cut."""
    end = "lifted end" if keys.cut == "parts-lifted" else "end of the cut track"
    places = {"red": keys.at_red, "green": keys.at_green, "blue": keys.at_blue}
    lands = []
    for colour, at in places.items():
        name = f"display-{colour}"
        if name in pins:
            carries = f"{colour} of the set's display, from the {end} on the display's side"
            lands.append(Land(name, pins[name], at, carries, STAGE["native"], shielded, reach))
    if "display-blanking" in pins:
        carries = f"blanking of the set's display, from the {end} on the display's side"
        name = "display-blanking"
        lands.append(Land(name, pins[name], keys.at_blanking, carries, STAGE["native"], False, reach))
    return lands
