"""What the tap of the rail costs, what the regulator carries, and which coil still pulls in when hot."""

from __future__ import annotations

from collections.abc import Iterable

from rasterport.records import Sized
from rasterport.units import short

COPPER_PER_K = 0.0039
"""Temperature coefficient of copper [1/K], referred to 20 C.  Handbook value, from memory."""
CABINET_C = 70.0
"""Hottest air inside the cabinet [C]; judgement, stated."""
DROP_SHARE = 0.02
"""Share of the rail that the fusible element may cost; judgement, stated."""


def fusible(rail_v: float, current_a: float, values_ohm: Iterable[float]) -> Sized:
    """The largest fusible resistor [ohm] of `values_ohm` that costs at most 2 % of the rail.

    The smallest one when none does.
    """
    values = sorted(values_ohm, reverse=True)
    most = DROP_SHARE * rail_v / max(current_a, 1e-6)
    value = next((v for v in values if v <= most), values[-1])
    return Sized(
        value,
        "ohm",
        f"costs {short(value * current_a * 1e3, 3)} mV at the {short(current_a * 1e3, 3)} mA it is sized for",
    )


def pull_in_v(operate_v: float, coil_rise_k: float, ambient_c: float = CABINET_C) -> float:
    """Voltage [V] at which a coil surely pulls in when hot.

    V_operate (1 + 0.0039 (T_ambient + dT_coil - 20)); `operate_v` is the sheet's value at 20 C.
    """
    return operate_v * (1 + COPPER_PER_K * (ambient_c + coil_rise_k - 20))


def regulator_current_most(
    input_high_v: float, output_v: float, quiescent_a: float, theta_k_per_w: float, junction_c: float, air_c: float
) -> float:
    """Load [A] at which the junction reaches `junction_c` [C]: (T_j - T_a)/theta = (Vi - Vo) I + Vi Iq."""
    watts = (junction_c - air_c) / theta_k_per_w
    return max(0.0, (watts - input_high_v * quiescent_a) / (input_high_v - output_v))
