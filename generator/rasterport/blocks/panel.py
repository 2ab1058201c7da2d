"""The panel switch: either all lines go through it (gang), or one pole of it says which input is wanted.

landing o-----\\   native o----- the set's own feed
                   1      o----- from input 1
                   2      o----- from input 2

ground  o-----\\   automatic o----- what lets the status contacts act
                   native    x
                   1         o----- call of input 1
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, by_name, colour_at, colour_of, gauge_of
from rasterport.blocks.landing import ALL_SCREENS, JOINED_SCREENS, OPEN_TO_SCREEN, TAIL_M, screens_measure
from rasterport.design.choosing import AUTOMATIC, NATIVE
from rasterport.records import BOARD_GROUND, COLOURS, REAR_PANEL, SCREENS, CataloguePart, Placed, Wire

REFERENCES = {"panel/switch": "S1", "panel/header": "J2", "panel/header-2": "J3"}

SCREENED = (*COLOURS, "sync", "left", "right")
"""Lines whose wires to the panel switch are screened."""
STAGE = 3
"""Of the wires to the panel switch: behind those to the sockets."""
End = tuple[str, str, str]
"""A terminal that is wired: its name, its net, the line of its pole."""
MOST_POLES = 4
"""Toggles for low-level signals are sold with up to four poles; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Ganged:
    """One pole: net of the common, and of each throw by position, native first; None where a throw is open."""

    line: str
    common: str
    throws: tuple[str | None, ...]


def gang(board: Board, poles: Sequence[Ganged]) -> None:
    """One pole of the panel switch a line; the switch sits on the panel, headers on the board.

    Raises ValueError when no switch is sold with so many poles and positions.
    """
    positions, wanted = len(poles[0].throws), ", ".join(p.line for p in poles)
    if positions == 2:
        if len(poles) > MOST_POLES:
            raise ValueError(
                f"{len(poles)} poles are wanted ({wanted}), panel switches have up to "
                f"{MOST_POLES}: choose path relay, or make a landing dedicated or normalled"
            )
        part = parts.panel_switch(len(poles))
        names = ["b", "a"]
        words = "common joined to a is RGB, to b the set's own"
    else:
        part = _rotary(len(poles), positions, wanted)
        names = [str(n) for n in range(1, positions + 1)]
        words = f"position 1 is the set's own, {' '.join(f'{n + 1} input {n},' for n in range(1, positions))}".rstrip(
            ","
        )
    nets: dict[str, str | None] = {}
    for n, pole in enumerate(poles, 1):
        nets[f"common-{n}"] = pole.common
        nets |= {f"{name}-{n}": throw for name, throw in zip(names, pole.throws, strict=True)}
    reason = f"{len(poles)} pole{'s' if len(poles) > 1 else ''}: {wanted}; {words}"
    switch = board.place("panel/switch", part, by_name(part, nets), REFERENCES, reason, on_board=board.wired)
    numbered = list(enumerate(poles, 1))
    _mean(board, switch, {f"{name}-{n}": meaning for n, _ in numbered for meaning, name in enumerate(names)})
    if board.wired:
        return
    colours = [(n, p) for n, p in numbered if p.line in COLOURS]
    # The colours have a header of their own: 40 pins are the most that is sold.
    for suffix, group in (("", [(n, p) for n, p in numbered if p.line not in COLOURS]), ("-2", colours)):
        if group:
            _harness(board, switch, group, names, f"panel/header{suffix}")


def _mean(board: Board, switch: Placed, meanings: Mapping[str, int]) -> None:
    """Note what the throws of a switch mean, by the names of its terminals."""
    board.throws |= {(switch.ref, p.number): meanings[p.name] for p in switch.part.pins if p.name in meanings}


def _harness(
    board: Board, switch: Placed, poles: Sequence[tuple[int, Ganged]], names: Sequence[str], role: str
) -> None:
    """A terminal a pin: two terminals on one net still meet on the board, not at the lugs."""
    order = list(reversed(names)) if len(names) == 2 else list(names)
    ends = []
    for n, pole in poles:
        throws = dict(zip(names, pole.throws, strict=True))
        ends.append((f"common-{n}", pole.common, pole.line))
        ends += [(f"{name}-{n}", net, pole.line) for name in order if (net := throws[name]) is not None]
    screen = [GROUND] if any(line in SCREENED for _, _, line in ends) else []
    header = _header(board, [*(net for _, net, _ in ends), *screen], role)
    for pin, (name, net, line) in _ground_first(ends):
        _wire(board, switch, name, header.ref, pin, line, net, len(ends) + 1)
    if screen:
        board.wire(_screens(header.ref, len(ends) + 1))


def _ground_first(ends: Sequence[End]) -> list[tuple[int, End]]:
    """Ends with the numbers of their pins, in the order of work."""
    return sorted(enumerate(ends, 1), key=lambda row: row[1][1] != GROUND)


def _screens(header: str, pin: int) -> Wire:
    """One wire for all screens of a header: a crimp contact takes one."""
    return Wire(
        stage=STAGE,
        start=f"{header} pin {pin} ({SCREENS})",
        end=JOINED_SCREENS,
        at=f"at {header}",
        carries=ALL_SCREENS,
        ground=BOARD_GROUND,
        length_m=TAIL_M,
        colour=colour_of(SCREENS),
        gauge=gauge_of(False),
        shielded=False,
        measure=screens_measure(header),
        net=GROUND,
        joins=((header, str(pin)),),
    )


def _rotary(poles: int, positions: int, wanted: str) -> CataloguePart:
    from rasterport.parts.selectors import deck_switch, rotary_positions, rotary_switch

    if poles <= MOST_POLES and positions in rotary_positions(poles):
        return rotary_switch(poles, positions)
    try:
        return deck_switch(poles, positions)
    except ValueError as fault:
        text = f"{poles} poles of {positions} positions are wanted ({wanted}): {fault}; choose path relay or cmos"
        raise ValueError(text) from fault


def _header(board: Board, nets: Sequence[str], role: str = "panel/header") -> Placed:
    return board.place(
        role,
        parts.header(len(nets)),
        {str(n): net for n, net in enumerate(nets, 1)},
        REFERENCES,
        "wires to the panel switch",
    )


def _wire(
    board: Board, switch: Placed, terminal: str, header: str, pin: int, line: str, net: str, screen: int = 0
) -> None:
    ground = net == GROUND
    screened = line in SCREENED and not ground
    screen_words = f"screen to {header} pin {screen}, joined with the others; open at the switch" if screened else ""
    number = next(p.number for p in switch.part.pins if p.name == terminal)
    board.wire(
        Wire(
            stage=STAGE,
            start=f"{switch.ref} terminal {number} ({terminal})",
            end=f"{header} pin {pin}",
            at=REAR_PANEL,
            carries="return" if ground else f"{line} ({net})",
            ground=BOARD_GROUND if ground else screen_words,
            length_m=0.15,
            colour=colour_of("ground") if ground else colour_at(line, board.throws.get((switch.ref, number))),
            gauge=gauge_of(screened),
            shielded=screened,
            measure=f"plug off {header}, {switch.ref} in every position: below 1 ohm from its contact to the terminal"
            + (OPEN_TO_SCREEN if screened else ""),
            net=net,
            joins=((switch.ref, number), (header, str(pin))),
            screen="end" if screened else "",
        )
    )


def chooser(board: Board, positions: Sequence[int], calls: Mapping[int, str]) -> None:
    """One pole that joins ground to what a position means: `calls` has a net for each input and for AUTOMATIC.

    Two positions are a toggle, three one that rests in the centre, more a rotary switch.
    """
    if len(positions) == 2:
        part, names = parts.panel_switch(1), ["b-1", "a-1"]
    elif len(positions) == 3:
        part, names = parts.centre_switch(1), ["", "a-1", "b-1"]
    else:
        from rasterport.parts.selectors import rotary_switch

        part, names = rotary_switch(1, len(positions)), [f"{n}-1" for n in range(1, len(positions) + 1)]
    nets: dict[str, str | None] = {"common-1": GROUND}
    meant = {AUTOMATIC: "automatic", NATIVE: "the set's own"}
    nets |= {name: calls.get(meaning) for name, meaning in zip(names, positions, strict=True) if name}
    told = ", ".join(
        f"{name.removesuffix('-1') or 'centre'} {meant.get(meaning, f'input {meaning}')}"
        for name, meaning in zip(names, positions, strict=True)
    )
    switch = board.place("panel/switch", part, by_name(part, nets), REFERENCES, f"1 pole: {told}", on_board=board.wired)
    _mean(board, switch, {name: n for name, n in zip(names, positions, strict=True) if name and n != AUTOMATIC})
    if board.wired:
        return
    ends = [(name, net, "control") for name, net in nets.items() if net is not None]
    header = _header(board, [net for _, net, _ in ends])
    for pin, (name, net, line) in _ground_first(ends):
        _wire(board, switch, name, header.ref, pin, line, net)
