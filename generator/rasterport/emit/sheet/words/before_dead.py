"""What is measured on a dead set: all of it as it is first, and at the very end what wants a pin lifted."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.sheet.words.facts import Facts, listed, said
from rasterport.emit.sheet.words.kinds import Check
from rasterport.records import COLOURS
from rasterport.standards.bench_practice import JOINED_OHM, PRACTICE
from rasterport.standards.interface_levels import VIDEO_IMPEDANCE_OHM
from rasterport.units import written
from rasterport.variant.keys import keys_by_path

DEAD = "plug pulled, tube and mains capacitor discharged"
UNTOUCHED = "nothing lifted or cut, no board joined"
AS_IT_IS = f"{DEAD}, {UNTOUCHED}, no plug in any jack"
LIFTED = (
    "plug pulled again, tube and mains capacitor discharged again; now lift the native wire of the blanking pin: it is "
    "a row of the work on the chassis, tick it there"
)
OHMS = "ohmmeter"
JOINED = f"below {written(JOINED_OHM, 'ohm')}"


def how(*path: str) -> str:
    """How a key of the variant file is found, in the words of the survey."""
    survey = keys_by_path()[path].survey
    return said(survey.how) if survey else ""


def dead(facts: Facts) -> Iterator[Check]:
    """Checks without power on a set as it is, from the rail to sound."""
    yield _rail(facts)
    yield from _colours(facts)
    yield _blanking(facts)
    if facts.tv.blanking.native == "open":  # no wire to lift
        yield _fitted(facts, AS_IT_IS)
    yield from _sync(facts)
    yield from _sound(facts)


def lifted(facts: Facts) -> Iterator[Check]:
    """What is read last, since it takes from the set what every other check needs."""
    if facts.tv.blanking.native != "open":
        yield _fitted(facts, LIFTED)


def _rail(facts: Facts) -> Check:
    return Check(
        "rail-alone",
        "Resistance of the rail",
        AS_IT_IS,
        "Wait until the reading stands still, then exchange the leads and read once more.",
        OHMS,
        facts.at("rail"),
        facts.at("ground"),
        "The file says nothing of it.",
        f"no short: above {written(JOINED_OHM, 'ohm')} both ways round",
        "Write both values down: with the board joined the rail must read nearly the same.",
        PRACTICE,
    )


def _colours(facts: Facts) -> Iterator[Check]:
    rgb = facts.tv.rgb
    fitted = "75 ohm stay in the set" if rgb.termination_fitted else "no 75 ohm in the set"
    near = f"near {written(VIDEO_IMPEDANCE_OHM, 'ohm')}"
    yield Check(
        "colours-terminated",
        "Terminations at the colour landings",
        AS_IT_IS,
        how("set", "rgb", "termination_fitted"),
        OHMS,
        listed([facts.at(colour) for colour in COLOURS]),
        facts.at("ground"),
        f"File: {fitted}.",
        f"{near}, all three alike" if rgb.termination_fitted else f"far above {written(VIDEO_IMPEDANCE_OHM, 'ohm')}",
        "A second termination makes the picture dim.",
        PRACTICE,
    )
    stays = rgb.coupling_fitted
    says = f"a capacitor of {written(stays, 'F')} stays in the set" if stays else "no capacitor stays in the set"
    yield Check(
        "colours-coupled",
        "Capacitors at the colour landings",
        AS_IT_IS,
        how("set", "rgb", "coupling_fitted"),
        "eyes and the circuit diagram",
        "",
        "",
        f"File: {says}.",
        "As the file says, at all three landings.",
        "Two capacitors in a row are less than either; none at all puts the source on the pin.",
        PRACTICE,
    )


def _blanking(facts: Facts) -> Check:
    pin = facts.tv.blanking
    expect = {
        "grounded": f"{JOINED}",
        "open": "no connection, with the leads both ways round",
        "driven": "neither a short nor no connection: a part of the set ends there",
    }[pin.native]
    if pin.native == "driven" and pin.native_resistance:
        expect += f"; the file says {written(pin.native_resistance, 'ohm')} between the pin and what drives it"
    return Check(
        "blanking-native",
        "What the set does with the blanking pin, without power",
        AS_IT_IS,
        how("set", "blanking", "native"),
        OHMS,
        facts.at("blanking"),
        facts.at("ground"),
        f"File: {pin.native}.",
        expect,
        "The pin would not be given back as it was.",
        PRACTICE,
    )


def _fitted(facts: Facts, condition: str) -> Check:
    left = facts.tv.blanking.fitted_resistor
    return Check(
        "blanking-fitted",
        "A resistor that stays on the blanking pin",
        condition,
        how("set", "blanking", "fitted_resistor"),
        OHMS,
        facts.at("blanking"),
        facts.at("ground"),
        f"File: {written(left, 'ohm') if left else 'none'}.",
        f"near {written(left, 'ohm')}" if left else "no connection but that of the pin itself",
        "With another resistor the pin gets another voltage.",
        PRACTICE,
    )


TERMINATED = {"none": "no 75 ohm", "movable": "75 ohm that can be moved", "fixed": "75 ohm that stay"}


def _sync(facts: Facts) -> Iterator[Check]:
    sync = facts.tv.sync
    bare = f"near {written(sync.resistance, 'ohm')}, or no connection where a capacitor lies between; not near 75 ohm"
    yield Check(
        "sync-terminated",
        "Termination at the sync landing",
        AS_IT_IS,
        how("set", "sync", "termination"),
        OHMS,
        facts.at("sync"),
        facts.at("ground"),
        f"File: {TERMINATED[sync.termination]}; {written(sync.resistance, 'ohm')} without.",
        bare if sync.termination == "none" else f"near {written(VIDEO_IMPEDANCE_OHM, 'ohm')}",
        "A second termination makes sync weak, a missing one makes it too strong.",
        PRACTICE,
    )
    jack = said(sync.shares)
    yield Check(
        "sync-shares",
        "Which jack shares the sync landing",
        AS_IT_IS,
        how("set", "sync", "shares"),
        OHMS,
        facts.at("sync"),
        f"the centre of {jack}" if jack else "the centre of each video jack in turn",
        f"File: {jack or 'none'}; arrangement {sync.arrangement}.",
        _meets(sync.arrangement, jack),
        "Two sources on one landing give two pictures on top of each other.",
        PRACTICE,
    )
    for key, words in (("front_jack", "a further jack at the front"), ("s_video", "an S-video socket")):
        value = getattr(sync, key)
        if value != "none":
            yield Check(
                f"sync-{key.replace('_', '-')}",
                f"What {words} does to the sync landing",
                AS_IT_IS,
                how("set", "sync", key),
                OHMS,
                facts.at("sync"),
                f"the centre of {jack}" if jack else "the centre of the composite jack",
                f"File: {value}.",
                "As the file says, with a bare plug in and out.",
                "A plug there would take sync away or bring a second one.",
                PRACTICE,
            )


def _meets(arrangement: str, jack: str) -> str:
    if not jack:
        return "no connection to any jack"
    if arrangement == "after-switch":
        return "no direct connection: the landing lies behind the set's input switch"
    return f"{JOINED}, or a small resistor in between"


def _sound(facts: Facts) -> Iterator[Check]:
    audio = facts.tv.audio
    if audio is None or not facts.sides:
        return
    jack = said(audio.shares)
    yield Check(
        "sound-lands",
        "Where sound lands",
        AS_IT_IS,
        how("set", "audio", "shares"),
        OHMS,
        listed([facts.at(side) for side in facts.sides]),
        f"the centres of {jack}" if jack else "the centre of each sound jack in turn",
        f"File: {jack or 'no jack'}; arrangement {audio.arrangement}; {audio.channels}.",
        _meets(audio.arrangement, jack),
        "Two sources on one landing are heard together.",
        PRACTICE,
    )
    if jack and audio.channels == "stereo":
        yield Check(
            "sound-sides",
            "Which side is which",
            AS_IT_IS,
            "Measure from the landing to the jack of each side.",
            OHMS,
            facts.at("left"),
            "the centre of the left jack of the set, then of the right one",
            "The file names a place for each side.",
            "A connection to left, none to right.",
            "Exchange at_left and at_right in the variant file.",
            PRACTICE,
        )
