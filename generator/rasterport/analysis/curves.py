"""Curves of the board: level and return loss over frequency, droop over a line.

A curve is the figure of the same name at more places, from the same lines and the same solver.  All frequencies and all
boards of a line are one solution.  Its band is what the boards span that are the worst at the figures of this line, not
what every corner spans: a test holds it against every corner.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from rasterport.analysis.alike import Pair, together
from rasterport.analysis.draws import Draw
from rasterport.analysis.figures import Figures
from rasterport.analysis.lines import MID_HZ, MOST_LOSS_DB, Line, loss_db, mhz
from rasterport.analysis.network import states_of
from rasterport.analysis.setup import Setup
from rasterport.analysis.video import TOP_HZ, relative_db
from rasterport.design.landings import line_standards
from rasterport.records import Curve, Figure
from rasterport.standards.limits import LIMITS, RETURN_LOSS_TO_HZ
from rasterport.units import short, significant, written

FROM_HZ, DECADES, STEPS = 1e5, 3, 40
"""Curves begin where levels are taken, above every coupling corner, and go on for so many decades in so many steps."""
JUDGED_HZ = (MID_HZ, 1e6, TOP_HZ, RETURN_LOSS_TO_HZ)
"""Frequencies of figures that a curve passes through."""
SWEEP_HZ = tuple(sorted({*JUDGED_HZ, *(significant(FROM_HZ * 10 ** (DECADES * n / STEPS)) for n in range(STEPS + 1))}))
"""Every frequency of a curve [Hz]."""
HALF_POWER_DB = -3.0103
"""1 / sqrt(2) in decibels."""
TOP_DB, BOTTOM_DB = 1.0, -6.0
"""Levels are shown between these [dB]; a board that loses more has lost its detail there."""
LEAST_SAID_DB = 0.01
"""Less lost than this is not told as a number [dB]: no meter on a bench shows it."""
HEADROOM = 1.05
"""Above the greatest return loss that is shown [-]."""
LINE_STEPS = 4
"""A droop is straight: few places do [steps]."""
BESIDE = 0.2
"""A plot shows so much of its greatest limit beyond it and on the other side of 0 [-]."""
SEEN = 200
"""Curves that differ by less than this part of their height look alike."""
DROOPS = {"droop": "droop of white over a line", "keyed-droop": "droop of white behind the board's clamp"}

Complex = NDArray[np.complex128]
Floats = tuple[float, ...]


@dataclass
class _Alike:
    """A line with all that behave like it: `first` names the figures of one of them, `pairs` are for the reader."""

    line: Line
    first: Pair
    pairs: list[Pair] = field(default_factory=list)


def curves(figures: Figures) -> tuple[Curve, ...]:
    """Every curve of a board.  Colours, inputs and states that behave alike share one."""
    found = [(_level(figures, a), a.pairs) for a in _chosen(figures.setup)]
    found += [(_loss(figures, a), a.pairs) for a in _contacts(figures.setup)]
    found += list(_droops(figures))
    return tuple(_merged(found))


def _chosen(setup: Setup) -> list[_Alike]:
    """The colour lines of every input while it is chosen."""
    found: dict[Hashable, _Alike] = {}
    for view in setup.views:
        for colour, line in view.colours().items():
            alike = found.setdefault(line.signature, _Alike(line, (colour, view.state)))
            alike.pairs.append((colour, view.state))
    return list(found.values())


def _contacts(setup: Setup) -> list[_Alike]:
    """What the contacts of the colours see in every state."""
    found: dict[Hashable, _Alike] = {}
    for view in setup.views:
        for colour, line in view.colours().items():
            others: dict[Hashable, tuple[Line, list[str]]] = {}
            for state in states_of(view.variant):
                if state != view.state:
                    other = view.between(line.contact, line.contact, state)
                    others.setdefault(other.signature, (other, []))[1].append(state)
            rows = [(line, (colour, view.state), view.state)]
            for other, states in others.values():
                told = _not_chosen(view, states, len(others))
                rows.append((other, (view.contact_subject(colour), states[0]), told))
            for each, first, told in rows:
                found.setdefault(each.signature, _Alike(each, first)).pairs.append((colour, told))
    return list(found.values())


def _not_chosen(view: Setup, states: Sequence[str], ways: int) -> str:
    """States in which an input is not chosen, in words."""
    if len(view.variant.input) == 1:
        return ", ".join(states)
    return f"{view.state} not chosen" if ways == 1 else f"{view.state} while {', '.join(states)}"


def _level(figures: Figures, alike: _Alike) -> Curve:
    """Level at the landing against 100 kHz."""
    width, at_top = (figures.get(key, *alike.first) for key in ("bandwidth", f"level-relative/{mhz(TOP_HZ)}"))
    _, landing = _volts(figures, alike, (width.key, at_top.key))
    level = relative_db(landing, landing[SWEEP_HZ.index(MID_HZ)])
    limit = LIMITS["bandwidth_hz"]
    return Curve(
        "level",
        "level at the landing over frequency",
        "",
        "",
        "frequency",
        "Hz",
        "level against 100 kHz",
        "dB",
        SWEEP_HZ,
        (("nominal", _written(level[:, 0])),),
        (),
        f"Against 100 kHz the level at {written(TOP_HZ, 'Hz')} has lost {_lost(at_top.nominal)}, at the worst corner "
        f"{_lost(at_top.low)}; 3 dB are lost at {_reached(width.nominal)}, at the worst corner at "
        f"{_reached(width.low)}; it must be {written(limit.warning or 0.0, 'Hz')} or more.",
        True,
        (_written(level.min(axis=1)), _written(level.max(axis=1))),
        "corners",
        tuple(
            (f"{words}: -3 dB below {written(hertz, 'Hz')}", hertz, HALF_POWER_DB)
            for words, hertz in (("warning", limit.warning), ("error", limit.error))
            if hertz is not None
        ),
        (),
        (BOTTOM_DB, max(TOP_DB, float(np.ceil(significant(float(level.max())))))),
    )


def _lost(level_db: float) -> str:
    """What a level has lost in words; what nobody can measure is no number."""
    return f"{short(-level_db, 2)} dB" if abs(level_db) >= LEAST_SAID_DB else f"less than {LEAST_SAID_DB:g} dB"


def _reached(hertz: float) -> str:
    """A -3 dB point in words."""
    return f"more than {written(SWEEP_HZ[-1], 'Hz')}" if hertz > SWEEP_HZ[-1] else written(significant(hertz, 3), "Hz")


def _loss(figures: Figures, alike: _Alike) -> Curve:
    """Return loss at the contact.  Better than nominal is no matter: the band goes down from there."""
    keys = [f"return-loss/{mhz(hertz)}" for hertz in (0.0, 1e6, RETURN_LOSS_TO_HZ)]
    contact, _ = _volts(figures, alike, keys)
    loss = loss_db(contact)
    limit, at = LIMITS["return_loss_db"], figures.get(keys[-1], *alike.first)
    top = written(RETURN_LOSS_TO_HZ, "Hz")
    nominal = ("at least " if at.nominal >= MOST_LOSS_DB else "") + short(at.nominal, 3)
    return Curve(
        "return-loss",
        "return loss at the socket over frequency",
        "",
        "",
        "frequency",
        "Hz",
        "return loss",
        "dB",
        SWEEP_HZ,
        (("nominal", _written(loss[:, 0])),),
        (),
        f"At {top} the return loss is {nominal} dB, {short(at.low, 3)} dB at the worst corner; up to there it must not "
        f"fall below {short(limit.warning or 0.0)} dB.",
        True,
        (_written(loss.min(axis=1)), _written(loss[:, 0])),
        "worst corner",
        tuple(
            (f"{words} below {short(db)} dB", RETURN_LOSS_TO_HZ, db)
            for words, db in (("warning", limit.warning), ("error", limit.error))
            if db is not None
        ),
        ((top, RETURN_LOSS_TO_HZ),),
        (0.0, MOST_LOSS_DB * HEADROOM),
    )


def _droops(figures: Figures) -> Iterator[tuple[Curve, list[Pair]]]:
    """White at the pin along a line: what leaks away does so evenly, since it is a hundredth at most."""
    for key, title in DROOPS.items():
        alike: dict[tuple[float, float, float], tuple[Figure, list[Pair]]] = {}
        for found in figures.under(key):
            alike.setdefault((found.nominal, found.low, found.high), (found, []))[1].append(
                (found.subject, found.state)
            )
        for found, pairs in alike.values():
            yield _droop(figures.setup, found, title), pairs


def _droop(setup: Setup, found: Figure, title: str) -> Curve:
    active = max(s.active_line_s for s in line_standards(setup.variant))
    limit = LIMITS["line_droop_pct"]
    along = [n / LINE_STEPS for n in range(LINE_STEPS + 1)]
    nominal, low, high = (_written([-end * n for n in along]) for end in (found.nominal, found.low, found.high))
    limits = [("warning beyond", limit.warning), ("error beyond", limit.error)]
    bounds = [(f"{words} {short(pct)} %", -pct) for words, pct in limits if pct is not None]
    furthest = min(high[-1], *(value for _, value in bounds))
    return Curve(
        found.key,
        title,
        "",
        "",
        "along the picture in a line",
        "s",
        "white against the begin of the line",
        "%",
        _written([active * n for n in along]),
        (("nominal", nominal),),
        tuple(bounds),
        f"Along {written(active, 's')} of picture white falls by {short(found.nominal, 2)} %, at the worst corner by "
        f"{short(found.high, 2)} %; a warning begins beyond {short(limit.warning or 0.0)} %.",
        False,
        (high, low),
        "corners",
        (),
        (),
        (furthest * (1 + BESIDE), -furthest * BESIDE),
    )


def _volts(figures: Figures, alike: _Alike, keys: Iterable[str]) -> tuple[Complex, Complex]:
    """Voltages at contact and landing, frequencies by boards: the nominal one, and those at both ends of these figures.

    The parameters of these figures are those of the line, in its order.
    """
    line = alike.line
    count = len(line.parameters)
    places = {(0,) * count: None}
    for key in keys:
        spread = figures.spread(figures.quantities[key, *alike.first])
        places |= dict.fromkeys(p for p in (spread.low_places, spread.high_places) if len(p) == count)
    rows = np.array(list(places), dtype=float).reshape(len(places), count)
    draw = Draw({name: rows[:, n] for n, name in enumerate(line.parameters)})
    shape = (len(SWEEP_HZ), len(places))
    contact, landing = line.volts(draw, SWEEP_HZ)
    return np.broadcast_to(contact, shape), np.broadcast_to(landing, shape)


def _written(values: Iterable[float]) -> Floats:
    """Numbers as they are written: the last bits of a processor end here."""
    return tuple(significant(float(value)) for value in values)


def _merged(found: Iterable[tuple[Curve, list[Pair]]]) -> Iterator[Curve]:
    """Curves that look alike and say the same, under the names of all of them."""
    kept: list[tuple[Curve, list[Pair]]] = []
    for curve, pairs in found:
        like = next((mine for other, mine in kept if _look_alike(curve, other)), None)
        if like is None:
            kept.append((curve, list(pairs)))
        else:
            like.extend(pairs)
    for curve, pairs in kept:
        for subject, state in together(pairs):
            yield replace(curve, subject=subject, state=state)


def _look_alike(a: Curve, b: Curve) -> bool:
    """Whether nobody could tell two curves of a plot apart."""
    if (a.key, a.says, a.limits, a.x) != (b.key, b.says, b.limits, b.x) or a.shown is None:
        return False
    mine, other = (np.array([*(y for _, y in c.lines), *(c.band or ())]) for c in (a, b))
    return bool(np.abs(mine - other).max() <= (a.shown[1] - a.shown[0]) / SEEN)
