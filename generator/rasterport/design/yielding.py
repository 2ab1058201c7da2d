"""What a combination of resistors gives up, and which wish must yield where none meets all limits, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping

from rasterport.design.mixing import Combination, Wishes
from rasterport.units import short

LEAST_DB, LEAST_LOSS_DB = 0.01, 0.1
"""What nobody could measure is not told: of a level, of return loss [dB]."""
LEAST_NODE = 0.05
"""The same of the node's resistance, on which bandwidth and edges hang [-]."""


def away_db(volt: float, wish_v: float) -> float:
    """How far a level is from its wish [dB], below it negative."""
    return 20 * math.log10(max(volt, 1e-12) / wish_v)


def menus(made: Combination, wishes: Wishes) -> tuple[float, str]:
    """White of menus [V] in the state where it is furthest from its wish, and that state in words."""
    states = (
        (float(made.display_v), "with a source"),
        (float(made.display_unplugged_v), "with nothing plugged in"),
        (float(made.display_native_v), "in the native state"),
    )
    return max(states, key=lambda s: round(abs(away_db(s[0], wishes.display_v)), 9))


def _off_db(made: Combination, wish: str, wishes: Wishes) -> float:
    """How far a level is off, either way [dB]."""
    volt = float(made.external_v) if wish == "external" else menus(made, wishes)[0]
    return abs(away_db(volt, wishes.external_v if wish == "external" else wishes.display_v))


OF = {"external": "white of the source", "display": "white of the menus"}
GIVEN = {"external": "of the source's level", "display": "of the menus' level", "reflection": "return loss"}
"""What a runner-up has less of."""


def gives_up(made: Combination, best: Combination, wish: str, wishes: Wishes) -> str:
    """What a runner-up gives up against the best, and what it wins for it."""
    worse: list[tuple[str, str]] = []
    better: list[tuple[str, str]] = []
    for name, text in OF.items():
        more = _off_db(made, name, wishes) - _off_db(best, name, wishes)
        if abs(more) >= LEAST_DB:
            (worse if more > 0 else better).append((name, f"{text} {short(abs(more), 2)} dB {_further(more)}"))
    less = best.return_loss_db - made.return_loss_db
    if abs(less) >= LEAST_LOSS_DB:
        words = f"return loss {short(made.return_loss_db, 3)} dB instead of {short(best.return_loss_db, 3)} dB"
        (worse if less > 0 else better).append(("reflection", words))
    if abs(made.node_ohm / best.node_ohm - 1) >= LEAST_NODE:
        words = f"the node at {short(made.node_ohm, 3)} ohm instead of {short(best.node_ohm, 3)} ohm"
        (worse if made.node_ohm > best.node_ohm else better).append(("node", words))
    if math.isinf(made.ground_ohm) != math.isinf(best.ground_ohm):
        fewer = math.isinf(made.ground_ohm)
        (better if fewer else worse).append(("ground", f"one resistor a colour {'less' if fewer else 'more'}"))
    worse.sort(key=lambda w: w[0] != wish)
    text = ", ".join(words for _, words in worse) or "nothing that could be measured"
    return f"{text}; for it {', '.join(words for _, words in better)}" if better else text


def _further(more: float) -> str:
    return "further off" if more > 0 else "nearer"


def yields(alone: Mapping[str, Combination], wishes: Wishes, in_the_way: str) -> str:
    """Which wish must yield and by how much, where no resistors meet all limits.

    `alone` has what is left of a wish that yields alone, the limits of the other two being met; `in_the_way` is the
    limit that never yields and leaves no room, "" for none.
    """
    begin = f"no resistors meet all three wishes{f' ({in_the_way})' if in_the_way else ''}"
    if not alone:
        return f"{begin}, nor two of them with the third given up"
    return f"{begin}: {', or '.join(_yield(alone[wish], wish, wishes) for wish in alone)} must yield"


def _yield(made: Combination, wish: str, wishes: Wishes) -> str:
    """One wish that yields, its figure and how far that is beyond the limit."""
    if wish == "reflection":
        less = wishes.return_loss_db - made.return_loss_db
        return (
            f"return loss ({short(made.return_loss_db, 3)} dB, {short(less, 2)} dB less than the "
            f"{short(wishes.return_loss_db, 3)} dB that are wanted)"
        )
    volt, state = (float(made.external_v), "") if wish == "external" else menus(made, wishes)
    wish_v = wishes.external_v if wish == "external" else wishes.display_v
    window_db = wishes.external_window_db if wish == "external" else wishes.display_window_db
    away = away_db(volt, wish_v)
    side = "below" if away < 0 else "above"
    return (
        f"{OF[wish]} ({short(volt, 3)} V{' ' + state if state else ''}, {short(abs(away), 2)} dB {side} "
        f"{short(wish_v, 3)} V, {short(abs(away) - window_db, 2)} dB more than the {short(window_db, 2)} dB that are "
        "allowed)"
    )
