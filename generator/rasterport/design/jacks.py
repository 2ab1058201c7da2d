"""The set's own jacks at a landing: which there are, and what a plug in each of them does to the set's wiring."""

from __future__ import annotations

from dataclasses import dataclass

from rasterport.design.landings import SWITCHED
from rasterport.variant.base import Arrangement, FrontJack, JackContact, SVideo
from rasterport.variant.models import Variant

OWN, FRONT, BOTH, S_VIDEO = "own jack", "front jack", "both jacks", "S-video"
"""Where plugs sit: in the jack that the landing shares, in the one at the front, in both, in the S-video socket."""
PLUGS = {OWN: frozenset({OWN}), FRONT: frozenset({FRONT}), BOTH: frozenset({OWN, FRONT}), S_VIDEO: frozenset({S_VIDEO})}


@dataclass(frozen=True, slots=True)
class Jacks:
    """The jacks at the landing of a line: `shares` is the set's own in words, "" for none."""

    line: str
    arrangement: Arrangement
    shares: str
    front: FrontJack
    s_video: SVideo
    contact: JackContact
    cut_off: bool

    @property
    def switched(self) -> bool:
        """Whether the board cuts between jack and circuit."""
        return self.arrangement in SWITCHED

    @property
    def name(self) -> str:
        """The set's own jack in words."""
        if self.shares:
            return self.shares
        if self.arrangement == "after-switch":
            return "a jack of the set"
        return "the set's own jack" if self.line == "sync" else "the set's own jacks"

    def named(self, plug: str) -> str:
        """Where a plug sits, in words."""
        front = "the front jack" if self.line == "sync" else "the front jacks"
        return {OWN: self.name, FRONT: front, BOTH: f"{self.name} and {front}", S_VIDEO: "the S-video socket"}[plug]

    def opens_landing(self, plug: str) -> bool:
        """Whether a plug takes landing and circuit apart; what silences a normalled jack silences what it passes on."""
        told = {FRONT: self.front, S_VIDEO: self.s_video}.get(plug, "none")
        return told == "silences-landing" or (told == "silences-jack" and self.arrangement == "normalled")

    def opens_jack(self, plug: str) -> bool:
        """Whether a plug takes the set's own jack off, and leaves the landing on the circuit."""
        told = {FRONT: self.front, S_VIDEO: self.s_video}.get(plug, "none")
        return told == "silences-jack" and self.arrangement != "normalled"

    @property
    def plugs(self) -> tuple[str, ...]:
        """Places of one plug that can reach landing or circuit; of a jack that is given up only one that is there."""
        cut = self.arrangement == "dedicated" and self.cut_off
        own = () if cut or (self.arrangement == "dedicated" and not self.shares) else (OWN,)
        front = () if self.front == "none" or (cut and not self.opens_landing(FRONT)) else (FRONT,)
        return (*own, *front, *(() if self.s_video == "none" else (S_VIDEO,)))


def jacks_of(variant: Variant, line: str) -> Jacks | None:
    """The jacks at the landing of sync, left or right; None where the set has no such landing."""
    tv = variant.set
    landing = tv.sync if line == "sync" else tv.audio
    if landing is None:
        return None
    s_video: SVideo = tv.sync.s_video if line == "sync" else "none"
    return Jacks(
        line,
        landing.arrangement,
        landing.shares.strip(),
        landing.front_jack,
        s_video,
        landing.jack_contact,
        landing.cut_off,
    )
