"""What the landings ask to be done to the chassis, and whether a row of [[set.work]] tells it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rasterport.design.landings import SWITCHED, is_shared, lands_audio, sides, sync_landing
from rasterport.records import COLOURS
from rasterport.variant.chassis import Work
from rasterport.variant.models import Variant

OPENED = re.compile(
    r"\b(?<!not )(?<!nothing )(?<!no )(?:lifted|lift|cut|removed|taken out|unsoldered|freed)\b(?!-)", re.IGNORECASE
)
"""Words by which the place of a landing says that something was opened for it: not "nothing cut", no "cut-out"."""
PART = re.compile(r"\b[A-Z]{1,3}[0-9]{1,4}\b(?: pin [0-9]+)?|\bpin [A-Z]?[0-9]+\b")
"""A part, one of its pins, or a pin of something that bears no name: "C301", "IC201 pin 14", "pin 20"."""
OF = re.compile(r"\bpin ([0-9]+) of (?:the )?([A-Z]{1,3}[0-9]{1,4})\b")
LIST = re.compile(r"\b([A-Z]{1,3}[0-9]{1,4}) pins ([0-9]+(?:(?:, | and )[0-9]+)*)")
OPENING, MOVING = ("lift", "cut"), ("move",)


@dataclass(frozen=True, slots=True)
class Task:
    """Something to do to the chassis: in words, the kinds of rows that tell it, and the places that one names.

    Without a place any row of these kinds tells it.
    """

    words: str
    kinds: tuple[str, ...]
    places: tuple[str, ...] = ()


def asked(variant: Variant) -> tuple[Task, ...]:
    """Everything that is lifted, cut or moved for a landing, as its keys and its place tell, in their order."""
    tv = variant.set
    tasks = [*_places(variant), *_blanking(variant), *_sync(variant), *_audio(variant)]
    if is_shared(variant) and tv.display is not None:
        told = (tv.display.at_red, tv.display.at_green, tv.display.at_blue)
        tasks += [
            Task(f"open the {colour} line of the set's display{_at(place)} (set.display.cut {tv.display.cut})", OPENING,
                 (place,))
            for colour, place in zip(COLOURS, told, strict=True)
        ]  # fmt: skip
        place = tv.display.at_blanking
        tasks.append(Task(f"open the blanking line of the set's display{_at(place)}", OPENING, (place,)))
    return tuple(tasks)


def _places(variant: Variant) -> Iterator[Task]:
    """Colours whose place says that something was opened."""
    tv = variant.set
    for colour, place in zip(COLOURS, (tv.rgb.at_red, tv.rgb.at_green, tv.rgb.at_blue), strict=True):
        if OPENED.search(place):
            yield Task(f"what the place of {colour} says: {place}", OPENING, (place,))


def _blanking(variant: Variant) -> Iterator[Task]:
    pin = variant.set.blanking
    if pin.native != "open" and not is_shared(variant):
        what = "free the blanking pin from ground" if pin.native == "grounded" else "open what drives the blanking pin"
        yield Task(f"{what}{_at(pin.at)} (set.blanking.native {pin.native})", OPENING, (pin.at, pin.at_native))


def _sync(variant: Variant) -> Iterator[Task]:
    sync, meets = variant.set.sync, sync_landing(variant)
    if sync.arrangement in SWITCHED:
        text = f"open the set's own sync{_at(sync.at)} (set.sync.arrangement {sync.arrangement})"
        yield Task(text, OPENING, (sync.at, sync.at_native))
    if sync.termination == "movable" and not meets.stays:
        jack = sync.shares or "the set's own feed"
        yield Task(f"move the set's 75 ohm from the landing to {jack} (set.sync.termination movable)", MOVING)


def _audio(variant: Variant) -> Iterator[Task]:
    audio = variant.set.audio
    if audio is None or audio.arrangement not in SWITCHED or not lands_audio(variant):
        return
    for side in sides(variant):
        here, there = getattr(audio, f"at_{side}"), getattr(audio, f"at_native_{side}")
        text = f"open the set's own sound {side}{_at(here)} (set.audio.arrangement {audio.arrangement})"
        yield Task(text, OPENING, (here, there))


def _at(place: str) -> str:
    return f" at {' '.join(place.split())}" if place.strip() else ""


def is_told(task: Task, rows: Sequence[Work]) -> bool:
    """Whether a row of one of its kinds names a part of its places; any such row where a place names none."""
    names = {name for place in task.places for name in names_in(place)}
    fitting = [row for row in rows if row.kind in task.kinds]
    if not names:
        return bool(fitting)
    return any(names & names_in(f"{row.do}; {row.at}") for row in fitting)


def names_in(text: str) -> frozenset[str]:
    """The parts and pins that a text names: "IC1 pins 3 and 4" are two; a part with its pin is not the part alone."""
    text = OF.sub(r"\2 pin \1", text)
    found = set(PART.findall(LIST.sub("", text)))
    for ref, pins in LIST.findall(text):
        found |= {f"{ref} pin {n}" for n in re.findall(r"[0-9]+", pins)}
    return frozenset(found)
