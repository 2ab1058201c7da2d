"""Joints: the netlist of a circuit without a printed board as a list that a person solders point to point.

net IN1_RED:   J101 contact 15 o----o R101 end 1 o----o C101 end 1
ground:        one run from part to part, sockets first
landings:      from the last part of their net to the chassis
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, colour_at, gauge_of
from rasterport.blocks.landing import Land, to_chassis
from rasterport.records import INPUT_ROLE, LINES, SCREENS, Bought, Circuit, Pin, Placed, Wire
from rasterport.variant.chassis import BuiltOn

STAGE = 1
"""Joints come before any wire to the chassis."""
SHORT_M, PANEL_M = 0.03, 0.15
"""Length of a joint between neighbouring parts, and of a wire to the panel [m]; judgement, stated."""
MEASURE = "below 1 ohm between the two ends, before anything is plugged in"

End = tuple[Placed, Pin]


def joints(board: Board, lands: Sequence[Land], built_on: BuiltOn, places: Mapping[str, str]) -> None:
    """Add the joints of every net, ground first and blanking last, and the wires to the chassis.

    `places` has the empty places of the chassis by role.
    """
    circuit = board.circuit()
    ends = _ends(circuit)
    for net in sorted(ends, key=_order):
        for first, second in pairwise(ends[net]):
            board.wire(_joint(net, first, second, board.throws, built_on, places))
    grounds = 0
    for land in lands:
        # Ground begins at the terminations, a second one behind the last part of an input, not at a coil's driver.
        from_start = land.net == GROUND and (land.name == SCREENS or not grounds)
        grounds += land.net == GROUND
        placed, pin = _begin(ends[land.net], from_start)
        joined = ((placed.ref, pin.number), (circuit.by_role(f"landing/{land.name}").ref, "1"))
        screens = said(*_begin(ends[GROUND], True))
        board.wire(replace(to_chassis(land, said(placed, pin), screens), joins=joined))
    if built_on == "stripboard":
        board.buy(Bought("stripboard", parts.stripboard(), 1, "piece", "carries the parts"))


def said(placed: Placed, pin: Pin) -> str:
    """An end in words: "R11 end 1", "Q1 pin 2 (B)", "J101 contact 15 (red)"."""
    letter, name = placed.part.letter, "" if pin.name in ("~", pin.number) else f" ({pin.name})"
    if letter == "J" and len(placed.part.pins) == 2:
        return f"{placed.ref} {pin.name}"
    word = {"J": "contact", "S": "terminal"}.get(letter, "end" if len(placed.part.pins) == 2 else "pin")
    return f"{placed.ref} {word} {pin.number}{name}"


def _begin(chain: Sequence[End], from_start: bool) -> End:
    """Where a wire to the chassis begins: at a small part of its net, else at what there is."""
    small = [end for end in chain if end[0].part.letter not in "JS"] or chain
    own = [end for end in small if INPUT_ROLE.fullmatch(end[0].role)]
    return (own or small)[0 if from_start else -1]


def _ends(circuit: Circuit) -> dict[str, list[End]]:
    """Part ends by net, in the order in which they are joined: `_rank`."""
    found: dict[str, list[End]] = {}
    for placed in circuit.parts:
        for pin in placed.part.pins:
            net = placed.nets[pin.number]
            if net is not None and placed.part.letter != "E" and (placed.ref, pin.number) not in circuit.joined:
                found.setdefault(net, []).append((placed, pin))
    for net, chain in found.items():
        chain.sort(key=lambda end: _rank(net, *end))
    return found


SIGNAL, SUPPLY = "JRCDQUKFS", "JFUCRDQKS"
"""Letters of the parts in the order in which a net runs through them: from the socket past its resistors, or from the
element of the tap past regulator and capacitors; the panel switch comes last."""


def _rank(net: str, placed: Placed, pin: Pin) -> tuple[bool, bool, int, tuple[str, int], tuple[str, int]]:
    letter, supply = placed.part.letter, net.startswith("RAIL")
    own = INPUT_ROLE.fullmatch(placed.role) is not None
    along = (SUPPLY if supply else SIGNAL).find(letter)
    return letter == "S", not own and not supply, along, _natural(placed.ref), _natural(pin.number)


def _natural(text: str) -> tuple[str, int]:
    head = text.rstrip("0123456789")
    return head, int(text[len(head) :] or 0)


def _order(net: str) -> tuple[int, str]:
    """Ground, supply, control, then line by line from the socket to the landing, blanking last."""
    words = net.split("_")
    if net == GROUND:
        return 0, net
    if words[0] == "RAIL":
        return 1, net
    line = _line(net)
    if line in LINES:
        return 3 + LINES.index(line), ("0" if words[0].startswith("IN") else "1") + net
    return (3 + len(LINES) if line == "blanking" else 2), net


def _line(net: str) -> str:
    """What a net carries: a line, blanking, or a signal of the control."""
    return next((name for name in (*LINES, "blanking") if name.upper() in net.split("_")), "control")


def _joint(
    net: str,
    first: End,
    second: End,
    throws: Mapping[tuple[str, str], int],
    built_on: BuiltOn,
    places: Mapping[str, str],
) -> Wire:
    line = "ground" if net == GROUND else "rail" if net.startswith("RAIL") else _line(net)
    two = (first[0], second[0])
    lead = any(p.part.letter == "J" and p.part.package == "cable" for p in two)
    jacks = two[0] is not two[1] and all(p.part.letter == "J" for p in two)
    far = (len({p.part.letter for p in two}) > 1 or jacks) and any(p.part.letter in _far_letters(built_on) for p in two)
    screened = far and line in LINES
    switch = [p.ref for p in two if p.part.letter == "S"]
    meant = [throws[end] for part, pin in (first, second) if (end := (part.ref, pin.number)) in throws]
    own = "the screen of its own conductor, on its own contact" if lead else "screen to the ground run at this end"
    return Wire(
        stage=STAGE,
        start=said(*first),
        end=said(*second),
        at=_place(two, built_on, places),
        carries={"ground": "ground run", "rail": "supply"}.get(line, line),
        ground=own if screened else "",
        length_m=0.0 if lead and far else PANEL_M if far else SHORT_M,
        colour="" if lead and far else colour_at(line, meant[0] if meant and net != GROUND else None),
        gauge="conductor of the lead"
        if lead and far
        else gauge_of(screened)
        if far
        else f"the part's own lead, or {gauge_of(False)}",
        shielded=screened,
        measure=f"{switch[0]} in every position: {MEASURE}" if switch else MEASURE,
        net=net,
        joins=((first[0].ref, first[1].number), (second[0].ref, second[1].number)),
        screen="" if not screened else "both" if lead else "start",
    )


def _far_letters(built_on: BuiltOn) -> str:
    """Parts that are not beside the others: the panel switch, and the socket where the parts are not built on it."""
    return "S" if built_on == "socket" else "JS"


def _place(two: tuple[Placed, Placed], built_on: BuiltOn, places: Mapping[str, str]) -> str:
    """Where a joint is: at the socket or switch that it stays on, else what the circuit is built on."""
    if two[0] is two[1] and two[0].part.letter in "JS":
        return (
            f"at {two[0].ref} itself" if two[0].part.package != "cable" else f"at the open end of {two[0].ref}'s lead"
        )
    if all(p.part.letter == "J" for p in two):
        return "from jack to jack"
    if built_on != "chassis":
        return f"on the {built_on}"
    told = [f"{p.ref} in {places[p.role]}" for n, p in enumerate(two) if p.role in places and p not in two[:n]]
    return "; ".join(told) or "free in the chassis"
