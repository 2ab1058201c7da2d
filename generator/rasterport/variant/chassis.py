"""Model of [[set.work]]: what is done to the chassis itself, in order, with the way back."""

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field

from rasterport.variant.base import Table
from rasterport.variant.fields import Said, Stage, Survey, Text

WorkKind = Literal["lift", "cut", "add", "move", "other"]

COUNTED = {
    "lift": ("part lifted", "parts lifted"),
    "cut": ("track cut", "tracks cut"),
    "add": ("part added", "parts added"),
    "move": ("part moved", "parts moved"),
    "other": ("other step", "other steps"),
}


class Work(Table):
    """One step of the work on the chassis: one part, or one track."""

    kind: Annotated[
        WorkKind,
        Survey(
            Stage.LOOK,
            "One row a part or track: lift one end of a part, cut a track, add a part, move one, or other work.  Rows "
            "are counted by this.",
            "lift",
        ),
    ] = Field(description="What is done to one part, or to one track")
    do: Annotated[
        Said, Survey(Stage.LOOK, "Write what is done, so that somebody else could do it.", "lift C301, end of R301")
    ] = Field(description="What is done, in words")
    at: Annotated[Text, Survey(Stage.LOOK, "Name the place as you would to a friend.", "beside IC201 pin 14")] = Field(
        "", description="Where it is done"
    )
    undo: Annotated[
        Text, Survey(Stage.LOOK, "Write how it is taken back; leave it out where there is no way.", "solder it back")
    ] = Field("", description="How it is taken back")


def counted(kinds: Sequence[str]) -> str:
    """Every kind of work that occurs with its number, in the order of the table: "2 parts lifted, 1 track cut"."""
    numbers = {kind: sum(k == kind for k in kinds) for kind in COUNTED}
    return ", ".join(f"{n} {COUNTED[kind][n > 1]}" for kind, n in numbers.items() if n)
