"""What all tables of the variant file share: strictness, faults between two keys, and words said more than once.

The modules of models do without deferred annotations: pydantic would evaluate each string of them at start-up.
"""

from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationInfo
from pydantic_core import PydanticCustomError

from rasterport.units import clearly_less, written
from rasterport.variant.fields import Stage, Survey

Arrangement = Literal["changeover", "normalled", "dedicated", "after-switch"]
FrontJack = Literal["none", "parallel", "silences-jack", "silences-landing"]
SVideo = Literal["none", "silences-jack", "silences-landing"]
JackContact = Literal["board", "circuit", "none"]

FRONT_JACK = Survey(
    Stage.OHMS,
    "Ohmmeter between the centres of the front and the rear jack, no plug in: open, write none.  Below 1 ohm: put a "
    "bare plug into the front jack.  Still below 1 ohm is parallel; if only the rear jack goes open against the "
    "landing, silences-jack; if the landing goes open against the circuit behind it, silences-landing.",
    "parallel",
)
S_VIDEO = Survey(
    Stage.OHMS,
    "Ohmmeter from the composite jack to the landing, and from the landing to the circuit behind it; put a bare "
    "S-video plug in.  The first goes open: silences-jack.  The second does, or you cannot tell: silences-landing.",
    "silences-jack",
)
JACK_CONTACT = Survey(
    Stage.OHMS,
    "Only for normalled.  Ohmmeter at the place where the board's wire will go, a bare plug in the jack: open to the "
    "plug and to the circuit is board; joined to the plug and open to the circuit is circuit; joined to both is none.",
    "board",
)
CUT_OFF = Survey(
    Stage.CHOICE,
    "Only for dedicated.  Choose: cut the wire between jack and landing, and no plug can reach it.",
    "true",
)
NEEDS_SYNC = Survey(
    Stage.PAPERS,
    "With sound but no picture at one of the set's inputs: is it silent?  Or read the block diagram for a mute that "
    "the sync detector works.  If so, or if you cannot tell, write true.",
    "true",
)
ARRANGEMENT = Survey(
    Stage.LOOK,
    "Decide how the landing is shared with the set's own input: cut by a change-over, through the jack's own "
    "switch contact, the jack given up, or a change-over behind the set's input switch.",
    "changeover",
)
LANDING_AT = Survey(Stage.LOOK, "Find the place on the board or in the drawing and name it as you would to a friend.")
"""Metadata of a place that a wire is soldered to."""
NATIVE_AT = Survey(
    Stage.LOOK, "Follow the track from the landing to where the set feeds it; that is the end that is lifted."
)
"""Metadata of the set's own end of a line that is opened."""
SHARED_BY = Survey(Stage.LOOK, "Follow the track to the rear: which jack meets the same point?  Empty when none does.")
"""Metadata of the jack at a landing."""
SELECTING = Survey(
    Stage.PAPERS, "Read the user's manual: which source must the viewer choose to hear or see this landing?"
)
"""Metadata of what a viewer selects."""
MUTING = Survey(Stage.PAPERS, "Read the block diagram: does the set blank or mute without a signal here?  Say which.")
"""Metadata of what a set does without a signal."""
NAMING = Survey(
    Stage.PAPERS,
    "Plug something into the jack and go through the set's inputs: what does the screen say when its picture comes?",
)
"""Metadata of the set's own name of an input."""


def must(allowed: str) -> PydanticCustomError:
    """The fault of a key that contradicts another; `allowed` says what must be true."""
    return PydanticCustomError("contradiction", "{allowed}", {"allowed": allowed})


def rising(info: ValidationInfo, value: float, *lower: str) -> float:
    """`value`, if it is above every key [V] of the same table named in `lower`; faulty keys are skipped."""
    for key in lower:
        other = info.data.get(key)
        if other is not None and not clearly_less(other, value):
            raise must(f"must be above {key}, which is {written(other, 'V')}")
    return value


def front_that_can_be(value: FrontJack, info: ValidationInfo) -> FrontJack:
    """`front_jack`, if the landing can lie that way to it."""
    if value == "silences-landing" and info.data.get("arrangement") == "after-switch":
        raise must(BEHIND)
    return value


def contact_that_can_be(value: JackContact, info: ValidationInfo) -> JackContact:
    """`jack_contact`, if the arrangement has one."""
    if value != "board" and info.data.get("arrangement", "normalled") != "normalled":
        raise must('must be left out unless arrangement is "normalled"')
    return value


def cut_that_can_be(value: bool, info: ValidationInfo) -> bool:
    """`cut_off`, if the arrangement gives a jack up."""
    if value and info.data.get("arrangement", "dedicated") != "dedicated":
        raise must('must be left out unless arrangement is "dedicated": another one keeps the jack in use')
    return value


BEHIND = (
    'must be "none" or, where a contact is opened, "silences-jack": a landing behind the set\'s input switch lies '
    "behind the contacts of its sockets too"
)


class Table(BaseModel):
    """A table of the variant file: strict, frozen, no key beside its own."""

    model_config = ConfigDict(strict=True, frozen=True, extra="forbid", defer_build=True)
