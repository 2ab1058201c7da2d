"""Model of [set.display]: the on-screen display that drives the same colour pins, where insertion is shared."""

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from rasterport.units import clearly_less, written
from rasterport.variant.base import Table, must
from rasterport.variant.fields import Quantity, Stage, Survey, Told, Unknown

Drive = Literal["push-pull", "open-collector"]
Idle = Literal["low", "high-impedance"]
Cut = Literal["parts-lifted", "tracks-cut"]
ActiveLevel = Literal["high", "low"]
TakesOver = Literal["pins", "slow-switch"]


PICKED_UP = Survey(
    Stage.LOOK, "Follow the track from the pin to the display's output: name the end that is lifted or cut there."
)
"""Metadata of the end of a display's line that the board takes."""


class Display(Table):
    """The on-screen display on the colour pins: what it puts out, and what stands on its lines and stays."""

    drive: Annotated[
        Drive,
        Survey(
            Stage.PAPERS,
            "Data sheet of the part that makes the display: push-pull outputs, or open collectors (open drains) with "
            "a resistor to a rail in the set.",
            "push-pull",
        ),
        Unknown("push-pull", ("open-collector",), "which one it is changes every level", decides=True),
    ] = Field("push-pull", description="Kind of the display's colour outputs")
    high: Annotated[
        float,
        Quantity("V", 0.5, 15.0),
        Survey(
            Stage.PAPERS,
            "Circuit diagram: supply of the part that makes the display, or the rail of its pull-ups.",
            "5 V",
        ),
        Unknown("5 V", ("3.3 V", "12 V"), "the network is sized for it", decides=True),
    ] = Field(description="Level of a colour output that is on; of open collectors the rail of the pull-up")
    low: Annotated[
        float,
        Quantity("V", 0.0, 1.0),
        Survey(Stage.PAPERS, "Data sheet of the part that makes the display: output voltage low.", "0 to 0.1 V"),
        Unknown("0.4 V", ("0 V",), "the most that a logic output promises"),
    ] = Field(0.0, description="Level of a colour output that is off")
    resistance_high: Annotated[
        float,
        Quantity("ohm", 0.0, 100e3),
        Survey(
            Stage.PAPERS,
            "Data sheet: what a high output loses over its current; of open collectors the pull-up in the set.",
            "50 to 300 ohm",
        ),
        Unknown("300 ohm", ("50 ohm",), "a weak output of a small controller; from memory", decides=True),
    ] = Field(100.0, description="Resistance of a colour output that is on; of open collectors the pull-up")
    resistance_low: Annotated[
        float,
        Quantity("ohm", 0.0, 100e3),
        Survey(Stage.PAPERS, "Data sheet: what a low output rises over its current.", "50 to 200 ohm"),
        Unknown("300 ohm", ("30 ohm",), "a weak output of a small controller; from memory"),
    ] = Field(100.0, description="Resistance of a colour output that is off")
    idle: Annotated[
        Idle,
        Survey(
            Stage.PAPERS,
            "Data sheet: do the colour outputs stay low without a menu, or let go of their lines?",
            "low",
        ),
        Unknown("high-impedance", ("low",), "a line that lets go loads less, so the picture is brighter"),
    ] = Field("low", description="What the colour outputs do while no menu is shown")
    pixel: Annotated[
        float,
        Quantity("s", 10e-9, 2e-6),
        Survey(Stage.PAPERS, "Data sheet: period of the display's dot clock.", "80 to 200 ns"),
        Unknown("60 ns", ("200 ns",), "a fine character; from memory"),
    ] = Field(100e-9, description="Shortest dot of the display's characters")
    series_fitted: Annotated[
        float | None,
        Quantity("ohm", 1.0, 100e3),
        Survey(Stage.LOOK, "Read the resistor in each line between the display and the place where it is picked up."),
        Unknown(None, ("1k",), "with it menus are darker, without it brighter", decides=True),
    ] = Field(None, description="Resistor in each line of the display that stays in the set")
    ground_fitted: Annotated[
        float | None,
        Quantity("ohm", 10.0, 1e6),
        Survey(
            Stage.LOOK,
            "Read the resistor to ground on the board's side of that series resistor, if one stays on the lifted line.",
        ),
        Unknown(None, ("1k",), "with it menus are darker, without it brighter", decides=True),
    ] = Field(None, description="Resistor to ground on each line of the display that stays in the set")
    cut: Annotated[Cut, Survey(Stage.CHOICE, "Choose: lift one end of a part in each line, or cut the tracks.")] = (
        Field("parts-lifted", description="How the display's lines are opened")
    )
    white: Annotated[
        float | None,
        Quantity("V", 0.1, 2.0),
        Survey(
            Stage.CHOICE,
            "Choose: less makes menus darker and the picture of an input brighter.",
            "as bright as the picture",
        ),
    ] = Field(None, description="White that menus shall have at the pin; without it the white level of the pins")
    blanking_drive: Annotated[
        Drive,
        Survey(Stage.PAPERS, "Data sheet of the part that makes the display: kind of its blanking output."),
        Unknown("push-pull", ("open-collector",), "an open collector drives nothing high by itself", decides=True),
    ] = Field("push-pull", description="Kind of the display's blanking output")
    blanking_active: Annotated[
        ActiveLevel,
        Survey(Stage.PAPERS, "Data sheet, or the circuit between its blanking output and the pin: an inverter?"),
        Unknown("high", ("low",), "the wrong one shows menus always or never", decides=True),
    ] = Field("high", description="Level of the blanking output that shows the menu")
    blanking_high: Annotated[
        float,
        Quantity("V", 0.5, 15.0),
        Survey(Stage.PAPERS, "Circuit diagram: supply of the part that makes the display.", "5 V"),
        Unknown("3.3 V", ("5 V",), "the least usual one: a low drive reaches the threshold last"),
    ] = Field(5.0, description="High level of the display's blanking output")
    blanking_low: Annotated[
        float,
        Quantity("V", 0.0, 1.0),
        Survey(Stage.PAPERS, "Data sheet of the part that makes the display: output voltage low.", "0 to 0.1 V"),
        Unknown("0.4 V", ("0 V",), "the most that a logic output promises"),
    ] = Field(0.0, description="Low level of the display's blanking output")
    blanking_resistance: Annotated[
        float,
        Quantity("ohm", 0.0, 100e3),
        Survey(Stage.PAPERS, "Data sheet: what the output loses over its current; a resistor in its line adds.", "100"),
        Unknown("1k", ("50 ohm",), "an output behind a usual series resistor; from memory"),
    ] = Field(100.0, description="Resistance of the display's blanking output")
    takes_over: Annotated[
        TakesOver,
        Survey(
            Stage.PAPERS,
            "Circuit diagram: do the display's colours reach the pins themselves, or a separate switch that shows "
            "one of two pictures and is thrown slowly?",
            "pins",
        ),
    ] = Field("pins", description="Where the display's colours enter the picture")
    at_red: Annotated[Told, PICKED_UP.such_as("R715, the end towards IC701")] = Field(
        "", description="Where the display's red is picked up"
    )
    at_green: Annotated[Told, PICKED_UP.such_as("R716, the end towards IC701")] = Field(
        "", description="Where the display's green is picked up"
    )
    at_blue: Annotated[Told, PICKED_UP.such_as("R717, the end towards IC701")] = Field(
        "", description="Where the display's blue is picked up"
    )
    at_blanking: Annotated[Told, PICKED_UP.such_as("R718, the end towards IC701")] = Field(
        "", description="Where the display's blanking is picked up"
    )

    @field_validator("low")
    @classmethod
    def _low_below_high(cls, value: float, info: ValidationInfo) -> float:
        return below(info, value, "high")

    @field_validator("blanking_low")
    @classmethod
    def _blanking_low_below_high(cls, value: float, info: ValidationInfo) -> float:
        return below(info, value, "blanking_high")


def below(info: ValidationInfo, value: float, key: str) -> float:
    """`value`, if it is below a key [V] of the same table; a faulty key is skipped."""
    other = info.data.get(key)
    if other is not None and not clearly_less(value, other):
        raise must(f"must be below {key}, which is {written(other, 'V')}")
    return value
