"""Models of [[built]]: the record of each board that was made, with what was read at the bench.

A reading is a text as somebody writes it down (`variant/reading.py`).  Whether the unit fits is known once the board is
worked out.
"""

import datetime
import re
from typing import Annotated, Any

from pydantic import Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from rasterport.units import LONGEST, QuantityError
from rasterport.variant.base import Table
from rasterport.variant.fields import LONGEST_ROLE, ROLE_PATTERN, Checked, Said, Stage, Survey, Text, checked
from rasterport.variant.reading import EXAMPLES, PATTERN, measured

MOST_READINGS, MOST_CHANGED, MOST_BOARDS = 500, 500, 200
LONGEST_SERIAL = 40

_KEY = "[a-z0-9][a-z0-9./-]*"
_DATE = "[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])"


_SEGMENT = "[a-z0-9][a-z0-9-]*"
_CHANGE = re.compile(
    rf"\s*(?P<part>{ROLE_PATTERN}(?=\s*=)|{_SEGMENT}(?:/{_SEGMENT})+|[A-Za-z]{{1,3}}[0-9]{{1,3}})\s*[=:]\s*(?P<now>\S.*)",
    re.DOTALL,
)


def split(text: str) -> tuple[str, str]:
    """Which part and what it is now, of a change: "R2 = 3k", "R2: 3k", "blanking/lower = 3k"; ("", text) of a remark.

    The part is a reference or a role, as it is written; a colon may also stand in a sentence, so what it follows counts
    only where nothing else can be meant.
    """
    found = _CHANGE.fullmatch(text)
    return (found["part"], found["now"].strip()) if found else ("", text.strip())


class Read:
    """Metadata of a reading: kept as it was written, once it can be read."""

    @staticmethod
    def check(given: object) -> str:
        """The text.  Raises PydanticCustomError with what to write instead."""
        allowed = f"must be a text with its unit, such as {EXAMPLES}"
        if isinstance(given, str):
            try:
                measured(given)
                return given
            except QuantityError as fault:
                allowed = fault.allowed
        raise PydanticCustomError("reading", "{allowed}", {"allowed": allowed})

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.check)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "maxLength": LONGEST, "pattern": PATTERN}


class Day:
    """Metadata of a date: as ISO 8601 writes it, in quotes or as TOML has it; kept as text."""

    @staticmethod
    def check(given: object) -> str:
        """The date as text.  Raises PydanticCustomError with what to write instead."""
        if isinstance(given, datetime.date) and not isinstance(given, datetime.datetime):
            return given.isoformat()
        if isinstance(given, str) and re.fullmatch(_DATE, given):
            try:
                return datetime.date.fromisoformat(given).isoformat()
            except ValueError:
                pass  # a day that its month does not have
        allowed = "must be a day of the calendar as year-month-day, such as 2031-05-14"
        raise PydanticCustomError("day", "{allowed}", {"allowed": allowed})

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.check)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{_DATE}$"}


def _fault_of_key(key: str) -> str:
    if len(key) <= LONGEST_ROLE and re.fullmatch(_KEY, key):
        return ""
    return "must be the key of a reading as the bench sheet has it, in quotes, such as joined/native/input-1.red-ground"


def _fault_of_serial(serial: str) -> str:
    if serial.strip() and len(serial) <= LONGEST_SERIAL and serial.isprintable():
        return ""
    return f"must be a serial of 1 to {LONGEST_SERIAL} characters on one line"


def bench(how: str, usual: str = "") -> Survey:
    """Metadata of a key that is found on a board that was built, which no survey of a set asks for."""
    return Survey(Stage.BUILT, how, usual)


Serial = Annotated[
    str, Checked(checked("serial", _fault_of_serial), (("maxLength", LONGEST_SERIAL), ("pattern", r"\S")))
]
ReadingKey = Annotated[
    str, Checked(checked("reading_key", _fault_of_key), (("pattern", f"^{_KEY}$"), ("maxLength", LONGEST_ROLE)))
]


class BuiltBoard(Table):
    """One board that was built: which one, when, what was read on it, what on it differs from the bill of materials."""

    serial: Annotated[Serial, bench("Write on the board what tells it from the others.", "0001")] = Field(
        description="What tells this board from the others that were built"
    )
    date: Annotated[str, Day(), bench("The day on which it was measured.", "2031-05-14")] = Field(
        "", description="Day of the readings"
    )
    readings: Annotated[dict[ReadingKey, Annotated[str, Read()]], Field(max_length=MOST_READINGS)] = Field(
        default_factory=dict,
        description='What was read: key of the reading on the bench sheet = a number with its unit, or "open"',
    )
    changed: Annotated[
        tuple[Said, ...],
        Field(strict=False, max_length=MOST_CHANGED),
        bench('Write reference or role = what was fitted, such as "R2 = 3k"; anything else is a remark.'),
    ] = Field((), description="Parts that are others than those of the bill of materials")
    notes: Annotated[Text, bench("Write what the next person at this board should know.")] = Field(
        "", description="Notes of your own on this board"
    )
