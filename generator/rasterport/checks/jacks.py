"""Plugs in the set's own jacks while an input is chosen, and every jack's own signal when native.

What happens is read from figures that are solved on the netlist with the set's jacks beside it; the arrangement only
says whether it was meant, and what helps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rasterport.analysis.jacks import RAIL_OFF
from rasterport.checks.bench import Bench, judge, within
from rasterport.design.jacks import BOTH, FRONT, OWN, S_VIDEO, Jacks, jacks_of
from rasterport.design.landings import sides
from rasterport.design.termination import LINE_OHM
from rasterport.records import Figure, Finding
from rasterport.standards.limits import LIMITS, Limit
from rasterport.units import short

CODES = {
    "F518": "plug in a jack of the set, sync",
    "F519": "return loss of the sync contact with a plug in the jack",
    "F520": "native sync of every jack through the board",
    "F610": "plug in a jack of the set, sound",
    "F612": "native sound of every jack through the board",
}

LIMIT = LIMITS["native_change_db"]
SOUND = LIMITS["audio_loss_db"]
GONE_DB = 40.0
"""A signal that lost this much is not seen any more [dB]; the limit of crosstalk at 1 MHz.  Judgement, stated."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of every place where a plug may sit, for every landing of sync and sound."""
    for line in ("sync", *sides(bench.variant)):
        jacks = jacks_of(bench.variant, line)
        if jacks is None:
            continue
        for view in bench.views:
            for plug in jacks.plugs:
                if view.has(f"plugged-change/{plug}", line):
                    yield from _plugged(view, jacks, plug)
        yield from _native(bench, jacks)


def _plugged(view: Bench, jacks: Jacks, plug: str) -> Iterator[Finding]:
    """What the set shows with a plug there: the input as before, both, the other alone, or neither."""
    lost = view.figure(f"plugged-change/{plug}", jacks.line)
    key = f"plugged-other/{plug}"
    other = view.figure(key, jacks.line) if view.has(key, jacks.line) else None
    code, own = ("F518", LIMIT) if jacks.line == "sync" else ("F610", SOUND)
    heard = other is not None and other.low < GONE_DB
    if (own.severity(lost.high) is None or lost.high < GONE_DB) and not heard:
        yield judge(code, lost, own, _nothing(jacks, plug))
        return
    if lost.low < GONE_DB and own.severity(lost.high) is None and other is not None:
        limit = within("other", "least", None, GONE_DB, "dB", "as crosstalk at 1 MHz; judgement, stated")
        yield judge(
            code, other, limit, f"how far below its own level a plug in {jacks.named(plug)} still shows through"
        )
    elif lost.low < GONE_DB:
        yield judge(code, lost, _limit(jacks, plug, own), _two(view, jacks, plug))
    elif other is None or not heard:
        yield judge(code, lost, _limit(jacks, plug, own), _neither(view, jacks, plug))
    elif jacks.arrangement == "normalled" and plug == OWN:
        yield from _takes_over(view, jacks, other, code, own)
    else:
        yield judge(code, lost, _limit(jacks, plug, own), _other(jacks, plug))


def _takes_over(view: Bench, jacks: Jacks, other: Figure, code: str, own: Limit) -> Iterator[Finding]:
    """As a normalled jack is meant: the plug's own source has the set back, the board's line is broken."""
    text = f"a plug in {jacks.name} breaks the board's line and has the set back: the input has no {_what(jacks)} then"
    yield judge(code, other, own, text)
    key = f"plugged-return-loss/{OWN}"
    if view.has(key, jacks.line):
        text = f"return loss of the sync contact with a plug in {jacks.name}"
        words = f"{text}: the source of the input has lost the 75 ohm that stay in the set; it is not seen meanwhile"
        limit = replace(LIMITS["return_loss_db"], error=None)
        yield judge("F519", view.figure(key, jacks.line), limit, text, instead=(text, words))


def _limit(jacks: Jacks, plug: str, own: Limit) -> Limit:
    """An error, but a warning where the jack was given up, or where a contact of the set does what it is there for."""
    given_up = jacks.arrangement == "dedicated" and plug == OWN
    return replace(own, error=None) if given_up or jacks.opens_landing(plug) else own


def _nothing(jacks: Jacks, plug: str) -> str:
    text = f"a plug in {jacks.named(plug)} changes nothing of the input"
    return f"{text}; {jacks.name} falls silent meanwhile, as it did before" if jacks.opens_jack(plug) else text


def _what(jacks: Jacks) -> str:
    return "sync" if jacks.line == "sync" else "sound"


def _loss(jacks: Jacks, plug: str) -> str:
    return f"loss of the input's {_what(jacks)} with a plug in {jacks.named(plug)}"


def _two(view: Bench, jacks: Jacks, plug: str) -> str:
    """Two sources on one landing."""
    sees = "both sounds are heard, each of them weaker"
    if jacks.line == "sync":
        sees = (
            "two pictures on top of each other, each of them dim, and under RGB two syncs, so that the picture tears "
            "or rolls"
        )
    load, key = "", f"plugged-load/{plug}"
    if view.has(key, jacks.line):
        found = short(view.figure(key, jacks.line).nominal, 3)
        load = f", the input's source sees {found} ohm in place of {LINE_OHM:g}"
    return f"{_loss(jacks, plug)}: two sources drive one landing{load}: {sees}; {_help(jacks, plug)}"


def _help(jacks: Jacks, plug: str) -> str:
    if jacks.switched:
        return "while the input is chosen the change-over must take the jack off: look for what joins them"
    if jacks.arrangement == "normalled" and plug == OWN:
        return (
            "the jack's switch contact does not break the board's line: move the board's wire to that contact, or "
            "choose arrangement changeover"
        )
    if jacks.arrangement == "normalled":
        return "pull the plug and label the jack, or choose arrangement changeover, which takes every jack off"
    return "pull the plug and label the jack, cut its wire to the landing (cut_off), or choose arrangement changeover"


def _neither(view: Bench, jacks: Jacks, plug: str) -> str:
    """The landing is parted from the circuit, and nothing else is there."""
    what, lacks = _what(jacks), "RGB rolls without sync" if jacks.line == "sync" else "there is no sound"
    if plug != S_VIDEO and not jacks.opens_landing(plug):
        help = "move the board's wire to the jack's switch contact, so that a plug breaks the board's line alone"
        if jacks.switched:
            help = "look for what is wrong between landing and circuit"
        return f"{_loss(jacks, plug)}: the set's circuit has neither source: {lacks}; {help}"
    tv = view.variant.set
    mutes = tv.sync.mutes_without if jacks.line == "sync" else tv.audio.mutes_without if tv.audio else ""
    also = f", and the set does what it does without it ({mutes})" if mutes else ""
    return (
        f"{_loss(jacks, plug)}: {jacks.name} falls silent and the landing with it: {lacks}{also}; pull the plug and "
        f"label the socket, or land {what} behind its contact, at the circuit's end"
    )


def _other(jacks: Jacks, plug: str) -> str:
    """The plug's source in place of the input's."""
    sees = "the sound of the other source with the picture of the input"
    if jacks.line == "sync":
        sees = "the colours of the input over the sync of the other source, so that the picture rolls"
    text = f"{_loss(jacks, plug)}: the set has {sees}"
    if not jacks.opens_landing(plug):
        return f"{text}; {_help(jacks, plug)}"
    return f"{text}; pull the plug and label the jack, or land behind its contact, at the circuit's end"


def _native(bench: Bench, jacks: Jacks) -> Iterator[Finding]:
    """The board between each jack and the circuit when native, and with the rail off."""
    code = "F520" if jacks.line == "sync" else "F612"
    for plug in (FRONT, BOTH, RAIL_OFF):
        if bench.figures.has(f"native-change/{plug}", jacks.line, "native"):
            where = "with the rail off" if plug == RAIL_OFF else f"with a plug in {jacks.named(plug)}"
            text = f"what the board does to the set's own {_what(jacks)} when native, {where}"
            yield judge(code, bench.figures.get(f"native-change/{plug}", jacks.line, "native"), LIMIT, text)
