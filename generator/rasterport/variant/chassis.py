"""Models of what is done to the chassis: [[set.work]] in order with the way back, places for parts, contacts in use."""

import re
from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field

from rasterport.variant.base import Table
from rasterport.variant.fields import Checked, Said, Stage, Survey, Text, checked

WorkKind = Literal["lift", "cut", "add", "move", "other"]
BuiltOn = Literal["stripboard", "socket", "chassis"]

LIST_OF_CONTACTS = "[a-z0-9-]{1,20}( *, *[a-z0-9-]{1,20}){0,39}"


def _fault_of_contacts(text: str) -> str:
    if re.fullmatch(f"({LIST_OF_CONTACTS})?", text):
        return ""
    return 'must be contacts with commas between, such as "4, 17, 21" or "red-shell, sync-shell"'


Contacts = Annotated[
    str,
    Checked(checked("free_text", _fault_of_contacts), (("pattern", f"^({LIST_OF_CONTACTS})?$"),)),
]
"""Contacts of a socket by number, of single jacks by name; "" for none."""

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


class Place(Table):
    """An empty place of the chassis, and the part of the board that goes into it."""

    part: Annotated[
        Said, Survey(Stage.CHOICE, "Take its role from the values that check prints.", "input-1/red/termination")
    ] = Field(description="Role of the part")
    at: Annotated[
        Said,
        Survey(
            Stage.LOOK,
            "Read the name printed beside the empty place, and follow its tracks: they must lead to what the netlist "
            "says, or be cut.",
            "R231, empty",
        ),
    ] = Field(description="Where it goes")


def counted(kinds: Sequence[str]) -> str:
    """Every kind of work that occurs with its number, in the order of the table: "2 parts lifted, 1 track cut"."""
    numbers = {kind: sum(k == kind for k in kinds) for kind in COUNTED}
    return ", ".join(f"{n} {COUNTED[kind][n > 1]}" for kind, n in numbers.items() if n)
