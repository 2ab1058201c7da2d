"""What can go wrong with sync, and with the jacks that share its landing."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.sheet.words.facts import Facts, begun, listed, said
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.emit.sheet.words.safety import DEAD
from rasterport.standards.bench_practice import DOUBLED_DB, JOINED_OHM, PRACTICE
from rasterport.units import written


def syncs(facts: Facts) -> Iterator[Fault]:
    """Faults of sync: missing, weak, doubled, taken away by a plug."""
    yield _missing(facts)
    yield from _not_selected(facts)
    yield from _parallel(facts)
    yield from _terminated(facts)
    yield from _plugs(facts)


def _level(facts: Facts) -> str:
    figure = facts.figure("sync-level", "sync")
    return f"{facts.span(figure)} of sync" if figure else "sync as the figures say"


def _missing(facts: Facts) -> Fault:
    relays = tuple(ref for ref in facts.relays if facts.on(ref, "sync"))
    through = [f"a contact of {listed(relays, 'or')}"] if relays else []
    if facts.switch is not None and facts.variant.selector.path == "gang" and facts.gives_back("sync"):
        through = [f"a pole of {facts.switch.ref}"]
    chips = tuple(p.ref for p in facts.circuit.parts if "/sync/separator" in p.role and p.ref.startswith("U"))
    through += [f"the separator {listed(chips)}"] if chips else []
    joint = f", or {listed(through)}" if through else ""
    return Fault(
        "sync-missing",
        "Sync is missing",
        "The colours of the source are there, but the picture rolls, tears or slants.",
        f"A joint of sync is open{joint}, or the source sends sync on another contact.",
        f"Oscilloscope, a steady picture: {facts.sync_contact(1)}, then {facts.probe('sync')} against {facts.ground}. "
        f"Without one: {DEAD.lower()}, {facts.end('sync')} to {facts.at('sync')}.",
        f"{_level(facts)}, of low pulses; below {written(JOINED_OHM, 'ohm')} with the ohmmeter",
        "Follow sync from the socket until it is gone; solder the joint in front of that point.",
        PRACTICE,
        (*facts.refs("test/sync"), *chips),
    )


def _not_selected(facts: Facts) -> Iterator[Fault]:
    """The set listens to another of its inputs."""
    select = said(facts.tv.sync.select)
    if facts.tv.sync.arrangement == "after-switch":
        return
    yield Fault(
        "not-selected",
        "The set is switched to another of its inputs",
        "RGB stands over the sync of a tuner channel or of another jack: it rolls, or slides slowly.",
        "Sync enters at one of the set's own inputs, and the set shows another one.",
        "On the screen: what the set says that it shows.",
        f"{select}" if select else "the input whose jack shares the sync landing",
        f"Select {select} on the set." if select else "Select that input on the set.",
        PRACTICE,
    )


def _parallel(facts: Facts) -> Iterator[Fault]:
    """The landing and its jack are joined while an input is chosen."""
    sync = facts.tv.sync
    if not facts.gives_back("sync"):
        return
    jack = said(sync.shares) or "the set's own inputs"
    at = facts.at_position(1)
    yield Fault(
        "sync-parallel",
        "The sync landing is still joined to the set's own feed",
        "Two pictures on top of each other, both dim, and the picture tears, as soon as something plays at "
        f"{jack}; right when nothing does.",
        "The end that should have been lifted still touches, or a wire of the board sits on the wrong side of the cut.",
        f"{DEAD}, {facts.apart}: {facts.at('sync-native')} to {facts.at('sync')}.",
        "no connection, or far more than 75 ohm",
        f"Lift the end again.{f' With the board joined and {at} the two must be apart too.' if at else ''}",
        PRACTICE,
    )


def _terminated(facts: Facts) -> Iterator[Fault]:
    """The set's own 75 ohm at the sync landing, which must be moved."""
    moved = [f for f in facts.findings if f.code == "F505"]
    if not moved:
        return
    yield Fault(
        "sync-doubled",
        "The set's termination stayed at the sync landing",
        f"Sync is weak by {written(DOUBLED_DB, 'dB')}: the picture stands, but tears at bright scenes, or its top "
        "bends.",
        "The set's own resistor of 75 ohm was not moved to the jack's side.",
        f"{DEAD}, {facts.apart}: {facts.at('sync')} to {facts.at('ground')}.",
        f"far more than 75 ohm (the file says {written(facts.tv.sync.resistance, 'ohm')})",
        f"{begun(moved[0].message)}.",
        moved[0].source,
    )


def _plugs(facts: Facts) -> Iterator[Fault]:
    """Plugs in the set's jacks that take sync away or bring a second one, as the findings tell."""
    for n, finding in enumerate((f for f in facts.graver("F518") if f.state == "input-1"), 1):
        yield Fault(
            f"plug-sync{'' if n == 1 else f'-{n}'}",
            "A plug in a jack of the set disturbs sync",
            f"{begun(finding.message)}.",
            "The jack is joined to the sync landing, or its contact opens it.",
            f"Nothing to measure at first: pull every plug out of the set's own jacks. Then {DEAD.lower()}: "
            f"{facts.at('sync')} to the centre of {said(facts.tv.sync.shares) or 'each jack'}.",
            "The picture stands with every plug out.",
            "Label the jack, or choose an arrangement that takes it off.",
            finding.source,
        )
    if facts.tv.sync.s_video != "none":
        yield _s_video(facts)


def _s_video(facts: Facts) -> Fault:
    """Which of two lines the contact in the S-video socket opens: that of the jack, or that of the landing."""
    sync = facts.tv.sync
    jack = said(sync.shares) or "the composite jack"
    behind = sync.s_video == "silences-landing"
    lost = behind or sync.arrangement == "normalled"
    between = "landing and circuit" if behind else "jack and landing"
    opens = "the circuit behind it" if behind else f"the centre of {jack}"
    return Fault(
        "s-video",
        f"A plug in the S-video socket silences {'the inputs of the board' if lost else 'the composite jack'}",
        f"RGB rolls as soon as a plug sits in the S-video socket, and {jack} is dark."
        if lost
        else f"{begun(jack)} is dark while a plug sits in the S-video socket; RGB stays.",
        f"A contact in the S-video socket opens the line between {between}. The set was made so.",
        f"{DEAD}, {facts.apart}, a bare plug in the S-video socket, then out: {facts.at('sync')} to {opens}.",
        "no connection with the plug in, a connection with it out, nothing lifted in between",
        "Pull the S-video plug, and label the socket." if lost else "Nothing: pull the plug to have the jack back.",
        "set.sync.s_video",
    )
