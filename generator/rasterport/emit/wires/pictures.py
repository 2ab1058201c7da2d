"""The pictures: one at a time to stand in a page, or all of them on upright sheets of A4."""

from __future__ import annotations

from collections.abc import Sequence

from rasterport.emit.drawing.pen import cut
from rasterport.emit.wires.bands import WIDTH, Band, drawn, heading, note, step
from rasterport.emit.wires.ends import joint_bands, other_bands, socket_bands, switch_bands
from rasterport.emit.wires.ink import STYLE, Wiring, legend, picture
from rasterport.emit.wires.landing import landing_bands
from rasterport.emit.wires.strands import JOINTS, LANDING, OTHER, SWITCH, Strand, cells_of, others, strands
from rasterport.records import INPUT_ROLE, Circuit

A4 = (2100, 2970)
"""Upright sheet of ISO 216 [0.1 mm]."""
MARGIN, HEAD, FOOT = 100, 100, 190
WORK, BACK = "Work on the chassis", "Way back"


def landing_picture(circuit: Circuit) -> str:
    """The board's edge, every landing with its wire and its place, as an `svg` element without a style; "" for none."""
    return _alone(
        landing_bands(circuit, strands(circuit), 10**6), "Wires from the board to the chassis, in order of work"
    )


def socket_picture(circuit: Circuit, number: int) -> str:
    """The sockets of an input, as an `svg` element without a style and without a row a wire; "" where it has none."""
    told = f"Input {number}: contacts where they are soldered, with their wires"
    return _alone(socket_bands(circuit, strands(circuit), number, rows=False), told)


def switch_picture(circuit: Circuit) -> str:
    """The panel switch, as an `svg` element without a style and without a row a wire; "" where the board has none."""
    return _alone(
        switch_bands(circuit, strands(circuit), rows=False),
        "The panel switch: terminals where they are soldered",
    )


def joints_picture(circuit: Circuit) -> str:
    """The joints of a circuit without a printed board, as an `svg` element without a style; "" where there is one."""
    return _alone(joint_bands(circuit, _joints(strands(circuit))), "Joints from part to part, in order of work")


def pictures_of(circuit: Circuit) -> dict[str, str]:
    """Every picture that there is, by its group: sockets, panel switch, joints, the landings last."""
    found = {f"input-{n}": socket_picture(circuit, n) for n in inputs_of(circuit)}
    found |= {SWITCH: switch_picture(circuit), JOINTS: joints_picture(circuit), LANDING: landing_picture(circuit)}
    return {name: svg for name, svg in found.items() if svg}


def inputs_of(circuit: Circuit) -> tuple[int, ...]:
    """The inputs that have a socket, in order."""
    met = (INPUT_ROLE.fullmatch(placed.role) for placed in circuit.parts)
    return tuple(sorted({int(m[1]) for m in met if m and m[2].partition("/")[0] == "socket"}))


def _alone(bands: Sequence[Band], told: str) -> str:
    if not bands:
        return ""
    pen, height = drawn(bands)
    return picture(pen, WIDTH, height + 6, told)


def _joints(found: Sequence[Strand]) -> list[Strand]:
    return [strand for strand in found if strand.group == JOINTS]


def wiring_pictures(circuit: Circuit, name: str, title: str, revision: str = "", remark: str = "") -> tuple[str, ...]:
    """Sheets of A4 with everything that the wiring list has, block by block.  `remark` heads each."""
    found = strands(circuit)
    before, after = others(circuit)
    groups = [
        (LANDING, "Landings", landing_bands(circuit, found)),
        (JOINTS, "Joints", joint_bands(circuit, _joints(found))),
        *((f"input-{n}", f"Input {n}", socket_bands(circuit, found, n)) for n in inputs_of(circuit)),
        (SWITCH, "Panel switch", switch_bands(circuit, found)),
        (OTHER, "Other wires", other_bands(found)),
    ]
    first = {strand.group: strand.number for strand in reversed(found)}
    if before:
        first |= {WORK: before[0].number, BACK: after[0].number}
        groups.append(
            (WORK, WORK, [heading(f"{WORK}, before any wire to it"), *(step(cells_of(row)) for row in before)])
        )
        groups.append((BACK, BACK, [heading(BACK), *(step(cells_of(row)) for row in after)]))
    groups.sort(key=lambda group: first.get(group[0], 0))
    sheets = _paged([(words, bands) for group, words, bands in groups if group in first])
    for group, _, bands in groups:
        if group not in first and bands:
            _fit_in(sheets, bands)
    about = ", ".join(filter(None, (title or name, f"revision {revision}" if revision else "")))
    told = "  ".join(legend(found))
    return tuple(_sheet(sheet, f"{name}: {about}", told, remark, n, len(sheets)) for n, sheet in enumerate(sheets, 1))


Placing = list[tuple[Band, int]]


def _paged(blocks: Sequence[tuple[str, Sequence[Band]]]) -> list[Placing]:
    """Bands on sheets: what must be followed by the next stays with it; a block that goes on says so."""
    room = A4[1] - HEAD - FOOT
    sheets: list[Placing] = [[]]
    y = 0
    for title, block in blocks:
        for n, run in enumerate(_runs(block)):
            if y and y + sum(band.height for band in run) > room:
                sheets.append([])
                y = 0
                if n:
                    run.insert(0, note(f"{title}, continued"))
            for band in run:
                sheets[-1].append((band, HEAD + y))
                y += band.height
    return sheets


def _fit_in(sheets: list[Placing], bands: Sequence[Band]) -> None:
    """Put a picture to which no wire goes on the first sheet that has room for it, else on one of its own."""
    tall = sum(band.height for band in bands)
    for sheet in sheets:
        y = max((at + band.height for band, at in sheet), default=HEAD)
        if y + tall <= A4[1] - FOOT:
            break
    else:
        sheet, y = [], HEAD
        sheets.append(sheet)
    for band in bands:
        sheet.append((band, y))
        y += band.height


def _runs(block: Sequence[Band]) -> list[list[Band]]:
    """Bands that must stand together."""
    runs: list[list[Band]] = [[]]
    for band in block:
        runs[-1].append(band)
        if not band.keep:
            runs.append([])
    return [run for run in runs if run]


def _sheet(sheet: Placing, about: str, legend: str, remark: str, number: int, of: int) -> str:
    pen = Wiring()
    for band, y in sheet:
        band.draw(pen, MARGIN, y)
    low = max([A4[1] - FOOT, *(y + band.height for band, y in sheet)])
    if remark:
        pen.text("strong", (MARGIN, 70), remark, size=34)
    counted = f"sheet {number} of {of}"
    pen.path("rule", (MARGIN, low + 14), (MARGIN + WIDTH, low + 14))
    pen.text("strong", (MARGIN, low + 60), cut(about, WIDTH - 280, 28), size=28)
    pen.text("faint", (MARGIN + WIDTH, low + 60), counted, "end")
    band = note(legend)
    band.draw(pen, MARGIN, low + 74)
    told = f"Wiring of {about}, {counted}"
    text = picture(pen, A4[0], low + FOOT, told, STYLE, paper=True)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}'
