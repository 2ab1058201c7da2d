"""The plan of the supply: what the board draws, whether 5 V are made, which coil is chosen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Literal, TypeVar

from rasterport import parts
from rasterport.design import blanking, supply
from rasterport.design.black import lifted
from rasterport.design.choosing import choosing
from rasterport.design.coil import Coil, Feed, choose_coil
from rasterport.design.landings import count_relays, separated, sync_landing
from rasterport.design.sync import Window, passive_pad
from rasterport.standards.interface_levels import SYNC_WINDOW_V
from rasterport.standards.limits import AMBIENT_HIGH_C, LIMITS, RESISTOR_SPREAD
from rasterport.units import short
from rasterport.variant.models import Variant

FUSIBLE_SPREAD = 0.059
"""5 % and 200 ppm/K over 45 K; Vishay document 28737."""
LOGIC_LOW_V, LOGIC_V, LOGIC_HIGH_V = 4.5, 5.0, 5.5
"""Supply of the TTL-compatible buffer [V]: 74HCT sheets, from memory."""
STAGES_A = 3e-3
"""Sense, gate and high-side stage together without the blanking divider, upper bound [A]: at 15 V the two
10 kohm of the gate, the 22 kohm of the high-side stage with its hold-off, the pull of the coil drivers."""
DIVIDER_A = 3e-3
"""First guess of what the blanking divider takes [A]; replaced by what it does take."""
BUFFER_A = 7e-3
"""Buffer and the 4 mA that it drives into 75 ohm, upper bound [A]."""
SEPARATOR_A = 12e-3
"""A sync separator on the highest rail, upper bound [A]."""
KEYED_A = 4e-3
"""The board's clamp with the divider that makes the voltage of black, upper bound on 5 V [A]."""
SWITCHES_A = 6e-3
"""Analog switches, their logic, pulls and two middle voltages, upper bound at 15 V and eight inputs [A]."""
NO_COIL = Coil(0.0, "RAIL", None, 0.0, 0.0)
HC_LOW_V, HC_HIGH_V = 4.0, 6.0
"""Supply of 74HC switches [V]: TI and ST end at 6 V; 4.0 V is as far as their resistance is drawn on from 4.5 V."""
PLAIN_LOW_V, PLAIN_HIGH_V = 7.5, 15.0
"""Rail on which 4000B switches run as they are [V]: below, their resistance is no path for a picture; National CD4051B
ends at 15 V.  The lower bound is a judgement, stated."""
DROP_SHARE = 0.04
"""What the element may take off the supply of analog switches, as a share of the rail [-]: sizing counts this whatever
is drawn, so that another input changes nothing in front of the switches; judgement, stated."""


@dataclass(frozen=True, slots=True)
class Switches:
    """What feeds analog switches: the net in front of the diode, lowest and highest voltage behind it [V]."""

    net: str
    low_v: float
    high_v: float
    family: Literal["74hc", "4000b"]


@dataclass(frozen=True, slots=True)
class Power:
    """Voltages [V] at the net that feeds the control circuits, current [A] from the rail, the choices made."""

    rail_low_v: float
    rail_high_v: float
    supply_low_v: float
    supply_v: float
    supply_high_v: float
    current_a: float
    element: str
    regulated: bool
    buffered: bool
    coil: Coil
    switches: Switches | None = None


T = TypeVar("T")


def plan_power(variant: Variant) -> tuple[Power, blanking.Divider]:
    """Decide element, regulator and coil, and with them the blanking divider.

    Raises ValueError when no choice works, saying why for each.
    """

    def divider(power: Power) -> tuple[blanking.Divider, float]:
        drive = blanking_drive(variant, power)
        sized = blanking.divider(blanking_window(variant), drive, RESISTOR_SPREAD)
        foot = sized.lower.value / (2 if sized.doubled else 1)
        return sized, drive.high_v / (sized.upper.value + foot) / (1 - RESISTOR_SPREAD)

    return plan_with(variant, divider)


def plan_with(variant: Variant, size: Callable[[Power], tuple[T, float]], logic: bool = False) -> tuple[Power, T]:
    """Decide element, regulator and coil, and with them what `size` makes for the blanking pin of a plan.

    `size` returns it with the current that it takes [A] or raises ValueError; `logic` says that it has a buffer of its
    own on 5 V.  Raises ValueError when no choice works, saying why for each.
    """
    wish = variant.board.supply_element
    usual = ("ptc", "fusible") if variant.board.small_parts == "smd" else ("fusible", "ptc")
    elements = usual if wish is None else (wish,)
    regulators = {"yes": (True,), "no": (False,), "auto": (False, True)}[variant.board.regulator]
    reasons: dict[tuple[bool, str], list[str]] = {}
    for regulated, element in product(regulators, elements):
        try:
            return _settled(variant, element, regulated, size, logic)
        except ValueError as fault:
            reasons.setdefault((regulated, str(fault)), []).append(element)
    raise ValueError(
        "; ".join(
            f"{'with' if regulated else 'without'} a regulator, {' or '.join(tried)} element: {fault}"
            for (regulated, fault), tried in reasons.items()
        )
    )


def _settled(
    variant: Variant, element: str, regulated: bool, size: Callable[[Power], tuple[T, float]], logic: bool
) -> tuple[Power, T]:
    """The plan whose current covers the divider that it leads to."""
    divider_a = DIVIDER_A
    for _ in range(4):
        power = _plan(variant, element, regulated, divider_a, logic)
        sized, needed = size(power)
        if needed <= divider_a:
            return power, sized
        divider_a = needed * 1.1
    raise ValueError(
        f"the blanking divider asks {short(divider_a * 1e3, 3)} mA, which pulls the rail below what it needs"
    )


def blanking_window(variant: Variant) -> blanking.Window:
    """The window of the blanking pin with the variant's margin taken off [V]."""
    pin, margin = variant.set.blanking, variant.board.blanking_margin
    return blanking.Window(
        pin.on_above + margin,
        pin.maximum - margin,
        pin.maximum,
        pin.off_below - margin,
        pin.pin_current,
        pin.fitted_resistor,
    )


def blanking_drive(variant: Variant, power: Power) -> blanking.Drive:
    """What stands at the top of the blanking divider: the supply, less a saturated transistor on a direct path."""
    drop = parts.transistor("pnp", variant.board.small_parts).ratings["vcesat_v"] if straight(variant) else 0.0
    return blanking.Drive(power.supply_low_v - drop, power.supply_v, power.supply_high_v)


def straight(variant: Variant) -> bool:
    """Whether a status contact drives the blanking pin itself, with no change-over in between."""
    return variant.selector.path == "direct" and bool(choosing(variant).by_status)


def needs_buffer(variant: Variant, index: int) -> bool:
    """Whether the sync of an input needs a buffer: separated, or its back porch is; positive TTL; no pad serves."""
    source = variant.input[index - 1]
    if source.sync != "ttl-composite":
        return separated(variant, index) or variant.board.keyed_clamp
    if source.sync_polarity == "positive":
        return True
    window = Window(*SYNC_WINDOW_V)
    return passive_pad(source.ttl_high_least, source.ttl_high_most, sync_landing(variant).load_ohm, window) is None


def _plan(variant: Variant, element: str, regulated: bool, divider_a: float, logic: bool = False) -> Power:
    rail = variant.set.supply
    low, high = rail.voltage * (1 - rail.tolerance), rail.voltage * (1 + rail.tolerance)
    inputs = range(1, len(variant.input) + 1)
    buffers = sum(needs_buffer(variant, n) for n in inputs) + logic
    buffered = buffers > 0
    regulator = parts.regulator_5v(variant.board.small_parts).ratings
    if regulated and low < regulator["input_least_v"]:
        raise ValueError(f"a 5 V regulator wants {regulator['input_least_v']:g} V, the rail falls to {short(low, 3)} V")
    current = STAGES_A * len(variant.input) + divider_a + BUFFER_A * buffers
    current += SEPARATOR_A * sum(separated(variant, n) or variant.board.keyed_clamp for n in inputs)
    current += KEYED_A if variant.board.keyed_clamp else 0.0
    shift = lifted(variant)
    current += 3 * high / shift.pull.value if shift is not None else 0.0
    current += regulator["quiescent_a"] if regulated else 0.0
    coil = NO_COIL
    current += SWITCHES_A if variant.selector.path == "cmos" else 0.0
    if variant.selector.path in ("relay", "cmos"):
        coil = choose_coil(_feeds(variant, low, high, element, current, regulated), variant.board.small_parts)
        coils_a = coil.current_a * count_relays(variant)
        if coils_a > rail.spare_current and len(variant.input) > 1:
            raise ValueError(
                f"{count_relays(variant)} relays at once take {short(coils_a * 1e3, 3)} mA, the rail can spare "
                f"{short(rail.spare_current * 1e3, 3)} mA: choose path "
                + ("cmos, which has fewer of them, or gang" if variant.selector.path == "relay" else "gang")
            )
        current += coils_a
    if element == "ptc" and current > parts.ptc(variant.board.small_parts).ratings["hold_70c_a"]:
        raise ValueError(
            f"the PTC would trip in a hot cabinet at {short(current * 1e3, 3)} mA: say supply_element fusible"
        )
    drop = _element_ohm(variant, element, current) * current
    if buffered and not regulated and not (low - drop >= LOGIC_LOW_V and high <= LOGIC_HIGH_V):
        span = f"{short(low - drop, 3)} to {short(high, 3)} V"
        what = "logic behind the display's blanking" if logic else "sync buffer"
        raise ValueError(f"the {what} wants {LOGIC_LOW_V:g} to {LOGIC_HIGH_V:g} V, not {span}")
    if regulated:
        levels = (regulator["output_low_v"], LOGIC_V, regulator["output_high_v"])
    else:
        levels = (low - drop, rail.voltage, high)
    switches = _switches(variant, levels, regulated, drop) if variant.selector.path == "cmos" else None
    return Power(low, high, *levels, current, element, regulated, buffered, coil, switches)


def _switches(variant: Variant, levels: tuple[float, float, float], regulated: bool, drop_v: float) -> Switches:
    """4000B on the rail where that allows, else 74HC on 5 V; what either sees lies behind a diode in the tap."""
    counted_v = DROP_SHARE * variant.set.supply.voltage
    if drop_v > counted_v:
        raise ValueError(
            f"{short(drop_v, 2)} V are lost in front of the analog switches, {short(counted_v, 2)} V are counted"
        )
    r, rail = parts.diode("schottky", variant.board.small_parts).ratings, variant.set.supply
    rail_low_v, rail_high_v = rail.voltage * (1 - rail.tolerance), rail.voltage * (1 + rail.tolerance)
    asked = variant.board.regulator == "yes"  # on 5 V the switches are faster
    if rail_low_v >= PLAIN_LOW_V and rail_high_v <= PLAIN_HIGH_V and not asked:
        low = rail_low_v - counted_v - r["vf_10ma_high_v"]
        return Switches("RAIL", low, rail_high_v - r["vf_low_v"], "4000b")
    least = levels[0] if regulated else rail_low_v - counted_v
    low, high = least - r["vf_10ma_high_v"], levels[2] - r["vf_low_v"]
    if low < HC_LOW_V or high > HC_HIGH_V:
        raise ValueError(
            f"74HC switches want {HC_LOW_V:g} to {HC_HIGH_V:g} V, 4000B {PLAIN_LOW_V:g} to {PLAIN_HIGH_V:g} V; "
            f"found {short(low, 3)} to {short(high, 3)} V"
        )
    return Switches("RAIL_5V" if regulated else "RAIL", low, high, "74hc")


def _element_ohm(variant: Variant, element: str, current_a: float) -> float:
    """Highest resistance of the element [ohm]."""
    if element == "ptc":
        return parts.ptc(variant.board.small_parts).ratings["r_high_ohm"]
    return supply.fusible(variant.set.supply.voltage, current_a, parts.FUSIBLE_OHM).value * (1 + FUSIBLE_SPREAD)


def _feeds(variant: Variant, low: float, high: float, element: str, base_a: float, regulated: bool) -> list[Feed]:
    """Nets that could feed the coils, the raw rail behind its element first."""
    relays = count_relays(variant)
    # 60 mA is the thirstiest coil of the catalogue; the finished circuit is checked with its own.
    drop = _element_ohm(variant, element, base_a + 0.06 * relays) * (base_a + 0.06 * relays)
    feeds = [Feed("RAIL", low - drop, high)]
    if regulated:
        r = parts.regulator_5v(variant.board.small_parts).ratings
        junction_c = LIMITS["junction_c"].warning or r["junction_max_c"]
        most = supply.regulator_current_most(
            high, r["output_low_v"], r["quiescent_a"], r["thermal_resistance_k_per_w"], junction_c, AMBIENT_HIGH_C
        )
        spare = max(0.0, most - (base_a - r["quiescent_a"]))
        feeds.append(Feed("RAIL_5V", r["output_low_v"], r["output_high_v"], spare / relays))
    return feeds
