"""What all tables of the variant file share: strictness, faults between two keys, and words said more than once.

The modules of models do without deferred annotations: pydantic would evaluate each string of them at start-up.
"""

from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationInfo
from pydantic_core import PydanticCustomError

from rasterport.units import clearly_less, written
from rasterport.variant.fields import Stage, Survey

Arrangement = Literal["changeover", "normalled", "dedicated", "after-switch"]

AT = Survey(
    Stage.LOOK, "Find the place on the board or in the drawing and name it as you would to a friend.", "IC201 pin 14"
)
AT_NATIVE = Survey(
    Stage.LOOK, "Follow the track from the landing to where the set feeds it; that is the end that is lifted."
)
SHARES = Survey(Stage.LOOK, "Follow the track to the rear: which jack meets the same point?  Empty when none does.")
SELECT = Survey(
    Stage.PAPERS, "Read the user's manual: which source must the viewer choose to hear or see this landing?"
)
MUTES = Survey(Stage.PAPERS, "Read the block diagram: does the set blank or mute without a signal here?  Say which.")
ARRANGEMENT = Survey(
    Stage.LOOK,
    "Decide how the landing is shared with the set's own input: cut by a change-over, through the jack's own "
    "switch contact, the jack given up, or a change-over behind the set's input switch.",
    "changeover",
)


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


class Table(BaseModel):
    """A table of the variant file: strict, frozen, no key beside its own."""

    model_config = ConfigDict(strict=True, frozen=True, extra="forbid")
