"""What a key of the variant file is: its type, its bounds, and how a person finds its value.

`Quantity` and `Text` are metadata of an annotated type and bring their own check and their own JSON Schema.
`Survey` is metadata for the survey sheet only, `Unknown` says what stands in for a value that nobody knows yet.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import IntEnum
from typing import Annotated, Any

from pydantic import AfterValidator, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from rasterport.units import QuantityError, pattern, plain, read, written

UNKNOWN = "unknown"
"""What is written for a value that nobody has found out yet."""
LONGEST_TEXT = 2000
NAME_PATTERN = "[a-z0-9][a-z0-9-]{0,39}"
RESERVED_NAMES = frozenset(
    ("con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10)))
)
"""Names that Windows keeps for devices, so that no folder can bear them."""


class Stage(IntEnum):
    """Order of the survey: nothing is measured before it is safe to."""

    CHOICE = 0  # wishes, no set needed
    PAPERS = 1  # service manual and datasheets
    LOOK = 2  # unplugged and discharged, eyes only
    OHMS = 3  # unplugged and discharged, ohmmeter
    VOLTS = 4  # powered, isolation transformer, one hand
    LIFTED = 5  # unplugged and discharged again, a wire of the set lifted: every other step needs the set as it was
    BUILT = 6  # on a board that was built; no survey of a set asks for it


@dataclass(frozen=True, slots=True)
class Survey:
    """How the value of a key is found: at which stage, by doing what, and what is usual."""

    stage: Stage
    how: str
    usual: str = ""

    def such_as(self, example: str) -> Survey:
        """The same for a key of its own example."""
        return replace(self, usual=example)


@dataclass(frozen=True, slots=True)
class Quantity:
    """Metadata of a float: its unit (a key of units.SPELLINGS) and its bounds in SI units, both allowed."""

    unit: str
    least: float
    greatest: float

    def check(self, given: object) -> float:
        """The value of what the file gives.  Raises PydanticCustomError with what is allowed."""
        try:
            value = read(given, self.unit)
        except QuantityError as fault:
            raise PydanticCustomError("quantity", "{allowed}", {"allowed": fault.allowed}) from None
        if not self.least <= value <= self.greatest:
            raise PydanticCustomError("quantity", "{allowed}", {"allowed": f"must be {self.bounds()}"})
        return value

    def bounds(self) -> str:
        """The allowed range in words."""
        return f"{written(self.least, self.unit)} to {written(self.greatest, self.unit)}"

    def shown(self, value: float) -> str:
        """The value in a spelling that `check` accepts in turn."""
        return plain(written(value, self.unit))

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.check)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        text: dict[str, Any] = {"type": "string", "maxLength": 40, "pattern": pattern(self.unit)}
        number: dict[str, Any] = {"type": "number", "minimum": self.least, "maximum": self.greatest}
        if self.unit not in ("ohm", "V"):
            number = {"type": "number", "const": 0}
            if self.least > 0:
                return text
        return {"anyOf": [text, number]}


@dataclass(frozen=True, slots=True)
class Unknown:
    """Metadata of a key that may be "unknown": the pessimistic value as it would be written, None for leaving it out.

    `others` are what it may turn out to be: of a quantity the other end of its documented range, of words the others.
    `decides` where no stand-in is on the safe side: then it must be found out before anything is soldered.
    """

    value: str | bool | None
    others: tuple[str | bool | None, ...]
    why: str
    decides: bool = False


@dataclass(frozen=True, slots=True)
class Checked:
    """Metadata of a string with a check of its own and the JSON Schema that says the same."""

    check: Callable[[str], str]
    schema: tuple[tuple[str, str | int], ...]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_after_validator_function(self.check, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", **dict(self.schema)}


def fault_of_text(text: str) -> str:
    """What is wrong with a free text, or "".  Any Unicode is right but control characters; newline is right."""
    if len(text) > LONGEST_TEXT:
        return f"must be at most {LONGEST_TEXT} characters, this has {len(text)}"
    for character in text:
        if character != "\n" and (unicodedata.category(character) == "Cc" or character in "\ufffe\uffff"):
            return f"must not hold control characters but newline, this has U+{ord(character):04X}"
    return ""


def unsaid(text: str) -> bool:
    """Whether a text about the set says nothing."""
    return text.strip().casefold() in ("", UNKNOWN)


def fault_of_name(name: str) -> str:
    """What is wrong with the name of a variant, which names a folder and files, or ""."""
    import re

    if not re.fullmatch(NAME_PATTERN, name):
        return "must be 1 to 40 of a-z, 0-9 and -, the first no hyphen, such as kestrel-1"
    if name in RESERVED_NAMES:
        return f"must be another name: Windows keeps {name} for a device"
    return ""


def checked(kind: str, fault_of: Callable[[str], str]) -> Callable[[str], str]:
    """A check that lets a text through, or raises what `fault_of` says of it as an error of this kind."""

    def check(text: str) -> str:
        fault = fault_of(text)
        if fault:
            raise PydanticCustomError(kind, "{allowed}", {"allowed": fault})
        return text

    return check


_CONTROL = "[^\\u0000-\\u0009\\u000b-\\u001f\\u007f-\\u009f\\ufffe\\uffff]"
_RESERVED = "|".join(sorted(RESERVED_NAMES))

Text = Annotated[
    str,
    Checked(
        checked("free_text", fault_of_text),
        (("maxLength", LONGEST_TEXT), ("pattern", f"^{_CONTROL}*$")),
    ),
]
Told = Annotated[Text, AfterValidator(lambda text: "" if unsaid(text) else text)]
"""A free text about the set; "unknown" says as little as none."""
Said = Annotated[
    str,
    Checked(
        checked("free_text", lambda text: fault_of_text(text) or ("" if text.strip() else "must say something")),
        (("maxLength", LONGEST_TEXT), ("pattern", rf"^{_CONTROL}*\S{_CONTROL}*$")),
    ),
]
"""A free text that may not be blank."""
Name = Annotated[
    str,
    Checked(checked("name", fault_of_name), (("pattern", f"^(?!(?:{_RESERVED})$){NAME_PATTERN}$"),)),
]

ROLE_PATTERN = "[a-z0-9][a-z0-9-]*(/[a-z0-9][a-z0-9-]*)*"
LONGEST_ROLE = 80


def fault_of_role(role: str) -> str:
    """What is wrong with a role as a text, or ""; whether the board has it is seen when it is made."""
    import re

    if len(role) <= LONGEST_ROLE and re.fullmatch(ROLE_PATTERN, role):
        return ""
    return "must be a role as `rasterport check` lists it, in quotes, such as input-1/red/termination"


def fault_of_fitted(text: str) -> str:
    """What is wrong with the choice of a part as a text, or ""."""
    if text.strip() and len(text) <= LONGEST_ROLE and text.isprintable():
        return ""
    return "must be a value such as 82 or 47n, or the key of a part"


Role = Annotated[str, Checked(checked("role", fault_of_role), (("pattern", f"^{ROLE_PATTERN}$"), ("maxLength", 80)))]
Fitted = Annotated[str, Checked(checked("fitted", fault_of_fitted), (("minLength", 1), ("maxLength", LONGEST_ROLE)))]
