"""What must be selected on the set: one input for sync and sound, that of the jack on which each is landed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from rasterport.checks.bench import Bench, note
from rasterport.design.landings import carries_audio, lands_audio
from rasterport.records import Finding
from rasterport.variant.models import Audio, Sync, Variant

CODES = {
    "F521": "sync and sound on different inputs of the set",
    "F522": "the input to select and the jack of sync",
    "F523": "what the set does without a signal at its own input",
    "F613": "what to select on the set for sound",
    "F614": "what the set does without sound",
    "F615": "the input to select and the jacks of sound",
    "F616": "sound that the set mutes without sync",
}

ONE_INPUT = "one input of the set is shown at a time"


def words_of(text: str) -> tuple[str, ...]:
    """A name as words and numbers, whatever its case, width, spaces and marks: "AV-1" is ("av", "1")."""
    plain = unicodedata.normalize("NFKC", text).casefold()
    return tuple(word.lstrip("0") or "0" if word.isdigit() else word for word in re.findall(r"[^\W\d_]+|\d+", plain))


def names(text: str, name: str) -> bool:
    """Whether a text names an input: its words stand there in a row, no number before or behind them going on."""
    found, wanted = words_of(text), words_of(name)
    spans = range(len(found) - len(wanted) + 1)
    return any(found[n : n + len(wanted)] == wanted for n in spans) if wanted else True


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of `select`, `input` and `mutes_without`."""
    sync, audio = bench.variant.set.sync, bench.variant.set.audio
    if sync.arrangement != "after-switch":
        yield from _jack("F522", "sync", sync, "there is no sync, so that the picture rolls")
    sound = audio if lands_audio(bench.variant) else None
    if sound is not None:
        if sound.arrangement != "after-switch":
            yield from _jack("F615", "audio", sound, "the picture has no sound")
        yield from _together(sync, sound)
        if sound.select:
            yield note("F613", "audio", f"select on the set for sound: {sound.select}", "set.audio.select")
        if sound.needs_sync:
            yield _silenced(sync, sound)
    if audio is not None:
        yield from _mute(bench.variant, audio)
    yield from _blank(sync)


def _jack(code: str, line: str, landing: Sync | Audio, lacks: str) -> Iterator[Finding]:
    """Whether `select` names the input to which the jack belongs."""
    if not (landing.select and landing.input) or names(landing.select, landing.input):
        return
    what = "sync" if line == "sync" else "sound"
    text = (
        f'{what} is landed on a jack of "{landing.input}", but "{landing.select}" is to be selected: the set does not '
        f'listen to that jack then, and {lacks}; select "{landing.input}", or land on a jack of the other'
    )
    yield note(code, line, text, ONE_INPUT, "warning")


def _both(sync: Sync, audio: Audio) -> tuple[str, str]:
    """What sync and sound want selected: the inputs of their jacks, or what the file says."""
    return sync.input or sync.select, audio.input or audio.select


def _same(sync: Sync, audio: Audio) -> bool:
    """Whether both want the same; only for texts that are there."""
    by_sync, by_audio = _both(sync, audio)
    if words_of(by_sync) == words_of(by_audio):
        return True
    if sync.input and audio.input:
        return False
    # One of them is a sentence: it may name the input and say more.
    return names(by_sync, by_audio) if audio.input else names(by_audio, by_sync) if sync.input else False


def _together(sync: Sync, audio: Audio) -> Iterator[Finding]:
    """Whether one choice on the set serves for sync and sound."""
    by_sync, by_audio = _both(sync, audio)
    if sync.arrangement == "after-switch" and audio.arrangement != "after-switch" and by_audio:
        text = f"sync enters behind the input switch: the picture comes on any channel, its sound only on {by_audio}"
        yield note("F521", "audio", text, ONE_INPUT)
        return
    if audio.arrangement == "after-switch" or not (by_sync and by_audio):
        return
    if not _same(sync, audio):
        hint = "" if sync.input and audio.input else "; where both mean the same, give the key input in both tables"
        text = (
            f'sync wants "{by_sync}" selected on the set, sound wants "{by_audio}": with the first there is a picture '
            "without sound, with the second no sync, so that the picture rolls; land both on the jacks of one "
            f"input{hint}"
        )
        yield note("F521", "audio", text, ONE_INPUT, "warning")


def _blank(sync: Sync) -> Iterator[Finding]:
    """A set that looks for a signal in front of its switch does not see one that enters behind it."""
    if sync.arrangement != "after-switch":
        return
    if sync.mutes_without:
        text = (
            f"sync enters behind the set's input switch, where the set may not look for it: {sync.mutes_without}; keep "
            "a signal on the input that the set shows, or land in front of the switch"
        )
        yield note("F523", "sync", text, "set.sync.mutes_without", "warning")
    if sync.select:
        text = f"sync enters behind the set's input switch: {sync.select} need not be selected, any input will do"
        yield note("F522", "sync", text, "set.sync.arrangement")


def _silenced(sync: Sync, audio: Audio) -> Finding:
    """Whether the set finds sync where it looks for it before it lets sound through."""
    text, source = "the set mutes sound while it sees no sync at the input that is selected", "set.audio.needs_sync"
    if sync.arrangement == "after-switch":
        helps = "keep a picture on the input that the set shows, or land sync in front of the switch"
        words = f"{text}: sync enters behind the input switch, where the set does not look for it; {helps}"
        return note("F616", "audio", words, source, "warning")
    by_sync, by_audio = _both(sync, audio)
    if audio.arrangement != "after-switch" and by_sync and by_audio and not _same(sync, audio):
        words = f'{text}: with "{by_audio}" selected it sees none, since sync is landed for "{by_sync}"'
        return note("F616", "audio", f"{words}; land both on the jacks of one input", source, "warning")
    return note("F616", "audio", f"{text}: sync is landed in front of the input switch", source, "met")


def _mute(variant: Variant, audio: Audio) -> Iterator[Finding]:
    """Without sound from an input the set does what it does without a signal there."""
    if not audio.mutes_without:
        return
    silent = [n for n in range(1, len(variant.input) + 1) if not carries_audio(variant, n)]
    text = f"without sound at this landing the set: {audio.mutes_without}"
    if silent:
        inputs = ", ".join(str(n) for n in silent)
        text += f"; input {inputs} brings none, so it happens with {'it' if len(silent) == 1 else 'them'}"
    yield note("F614", "audio", text, "set.audio.mutes_without", "warning" if silent else "note")
