"""The survey sheet as plain text: every key of the variant file in a safe order of work, from the models alone."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from rasterport.emit.sheet.words.cautions import OF_EVERY_SET
from rasterport.units import plain
from rasterport.variant.fields import Stage
from rasterport.variant.keys import Key, heading, is_required, keys, spelled

WIDTH = 92

TITLE = "Rasterport survey: what to find out before a variant file can be written"

OPENING = (
    "Work through the steps in their order: nothing is measured before it is safe to. Each entry names the key of "
    "the variant file that it fills. Keys marked * must be written where their table is; any other may be left out "
    'and then has its default. Values are written as "75", "4k7", "100n", "0.7 V", "2.2 uF": with a point, never a '
    'comma; "unknown" may stand for most of what is measured, and then a careful value is taken.'
)

WITHOUT = "(The whole table may be left out; nothing below it must be written then.)"

AFTERWARDS = (
    "Nothing of [[built]] is asked for here: it holds what is read on each board once it is built, by the keys that "
    "the bench sheet gives the readings. Nor of [fit]: it puts parts of your own in place of those that check chose."
)

CAUTIONS = OF_EVERY_SET

STEPS = {
    Stage.CHOICE: (
        "What you want",
        "Nothing of the set is needed. What hangs on a later step (a landing, a length, a level) is chosen after it.",
    ),
    Stage.PAPERS: ("From papers", "Service manual of the set, data sheet of its processor, manual of the source."),
    Stage.LOOK: ("By looking", "Set unplugged and discharged, back off. Eyes, magnifier, string and rule only."),
    Stage.OHMS: ("With an ohmmeter", "Set unplugged and discharged. Wait, discharge again, then measure."),
    Stage.VOLTS: (
        "With a voltmeter",
        "Only on an isolation transformer, only with one hand, only where papers do not tell.",
    ),
    Stage.LIFTED: (
        "With a wire lifted",
        "Every step before needs the set as it was. Pull the plug, discharge everything again, then lift.",
    ),
}


def survey_text() -> str:
    """The whole sheet, at most 92 characters wide, ending in a newline."""
    lines = [TITLE, "=" * len(TITLE), "", *wrap(OPENING, WIDTH), "", "Before the back comes off", ""]
    for caution in CAUTIONS:
        lines += wrap(caution, WIDTH, initial_indent="  ! ", subsequent_indent="    ")
    for number, (stage, (title, condition)) in enumerate(STEPS.items(), 1):
        heads = f"Step {number}. {title}"
        lines += ["", "", heads, "-" * len(heads), *wrap(condition, WIDTH)]
        lines += _step([key for key in keys() if stage_of(key) == stage])
    return "\n".join([*lines, "", *wrap(AFTERWARDS, WIDTH)]) + "\n"


def stage_of(key: Key) -> Stage:
    """The step at which a key is found; one of which the models say nothing is a choice."""
    return key.survey.stage if key.survey else Stage.CHOICE


def _step(members: list[Key]) -> Iterator[str]:
    table: tuple[str, ...] = ()
    for key in members:
        if key.table != table:
            table = key.table
            yield from ("", heading(table))
            if not is_required(table):
                yield from wrap(WITHOUT, WIDTH, initial_indent="  ", subsequent_indent="  ")
        yield from _entry(key)


def _entry(key: Key) -> Iterator[str]:
    yield f"  {key.name}{' *' if key.required else ''}"
    how = key.survey.how if key.survey else ""
    for text in (f"{key.description.rstrip('.')}.", "; ".join(facts_of(key)) + ".", how):
        yield from wrap(text, WIDTH, initial_indent="      ", subsequent_indent="      ", break_on_hyphens=False)


def facts_of(key: Key) -> list[str]:
    """What may be written, what is usual or an example, what stands for nothing, and what "unknown" counts as."""
    facts = [f"allowed {plain(key.allowed)}"]
    if key.survey and key.survey.usual and key.survey.usual != key.default.strip('"'):
        own = key.choices or key.quantity is not None  # a free text has an example, which is usual nowhere
        facts.append(f"{'usual' if own else 'for example'} {key.survey.usual}")
    if not key.required:
        facts.append(f"default {key.default}" if key.default else "may be left out")
    if key.unknown:
        stands = spelled(key.unknown.value) if key.unknown.value is not None else "left out"
        facts.append(f'"unknown" counts as {stands}{", and must be found out" if key.unknown.decides else ""}')
    return facts
