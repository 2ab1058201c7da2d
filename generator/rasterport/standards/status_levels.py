"""Levels on the status contacts of the 21-contact sockets, as the set has to read them.

Contact 8: EN 50049-1 with A2:1995, as a set maker's user manual, the Maxim MAX4399 data sheet and a
contact table by editions give it.  The middle level (wide picture) is 4.5 to 7 V there and 5 to 8 V in
older lists; both count as on here.  Contact 16: the same texts.  Japanese contact 11: EIAJ TTC-0003 as one
home-computer encyclopaedia page gives it; its off level is nowhere printed.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StatusLevels:
    """What a source may put on a status contact, and how the set may load it.

    Off at or below `off_most_v`, on from `on_least_v` to `on_most_v` [V]; `applied_most_v` is what the contact
    must survive.  `load_ohm` is the load that the document prescribes, None where it only gives a
    least load.  `capacitance_most_f` is None where no limit is known.
    """

    key: str
    off_most_v: float
    on_least_v: float
    on_most_v: float
    applied_most_v: float
    load_least_ohm: float
    load_ohm: float | None
    capacitance_most_f: float | None
    source: str
    confidence: str


STATUS_8 = StatusLevels(
    key="status-8",
    off_most_v=2.0,
    on_least_v=4.5,
    on_most_v=12.0,
    applied_most_v=12.0,
    load_least_ohm=10e3,
    load_ohm=None,
    capacitance_most_f=2e-9,
    source="EN 50049-1 with A2:1995; MAX4399 data sheet, electrical table",
    confidence="levels and load in more than three texts; 2 nF from memory",
)

STATUS_16 = StatusLevels(
    key="status-16",
    off_most_v=0.4,
    on_least_v=1.0,
    on_most_v=3.0,
    applied_most_v=3.0,
    load_least_ohm=75.0,
    load_ohm=75.0,
    capacitance_most_f=None,
    source="EN 50049-1, blanking; EIAJ TTC-0003, Ys",
    confidence="more than five texts agree",
)
"""A faulty or miswired source can put the 12 V of contact 8 here; checks apply FAULT_V to every contact."""

STATUS_11 = StatusLevels(
    key="status-11",
    off_most_v=1.0,
    on_least_v=3.0,
    on_most_v=5.0,
    applied_most_v=5.25,
    load_least_ohm=22e3,
    load_ohm=22e3,
    capacitance_most_f=None,
    source="EIAJ TTC-0003 as one public page gives it",
    confidence="on level and load from one text; off level a judgement: below about 1 V",
)

FAULT_V = 12.0
"""Highest voltage that any contact of a 21-contact lead can carry [V]: contact 8 of EN 50049-1."""

STATUS_LEVELS: dict[str, StatusLevels] = {s.key: s for s in (STATUS_8, STATUS_16, STATUS_11)}
"""By the function name of the contact."""
