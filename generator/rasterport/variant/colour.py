"""Models of [set.rgb] and [set.blanking]: how RGB enters the set and what switches to it."""

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from rasterport.variant.base import LANDING_AT, NATIVE_AT, Table, rising
from rasterport.variant.fields import Quantity, Stage, Survey, Told, Unknown

Insertion = Literal["spare", "shared"]
RgbPinKind = Literal["analog-clamped", "analog-dc", "digital", "ypbpr", "none", "unknown"]
LeadKind = Literal["hook-up", "coax"]
NativeBlanking = Literal["grounded", "open", "driven"]


class Rgb(Table):
    """How RGB enters the processor, and what its pins are like."""

    insertion: Annotated[
        Insertion,
        Survey(
            Stage.PAPERS, "Read the circuit diagram: do the on-screen display's lines end on the same pins?", "spare"
        ),
    ] = Field(description="Whether RGB enters at unused pins or at those of the on-screen display")
    pin_kind: Annotated[
        RgbPinKind,
        Survey(
            Stage.PAPERS,
            "Read the processor's data sheet: RGB inputs behind a capacitor with a clamp are analog-clamped; "
            "none where it has no colour inputs.",
            "analog-clamped",
        ),
    ] = Field(description="What the three colour pins take")
    white_level: Annotated[
        float,
        Quantity("V", 0.1, 2.0),
        Survey(Stage.PAPERS, "Data sheet, RGB input, black to white for nominal contrast.", "0.7 V"),
        Unknown("0.8 V", ("0.7 V",), "what some makers print as the greatest; the loss against it is counted"),
    ] = Field(0.7, description="Black to white that the pin wants, without sync")
    clipping_level: Annotated[
        float,
        Quantity("V", 0.2, 5.0),
        Survey(Stage.PAPERS, "Data sheet, RGB input, clipping or maximum.", "1 V"),
        Unknown("1 V", ("1.5 V",), "the least in any sheet"),
    ] = Field(1.0, description="Level above black at which the pin clips")
    black_level: Annotated[
        float | None,
        Quantity("V", 0.0, 8.0),
        Survey(Stage.PAPERS, "Data sheet, RGB input, direct voltage of black; only for analog-dc.", "0 V"),
        Unknown(None, ("0 V", "2 V"), "no value is on the safe side"),
    ] = Field(None, description="Direct voltage that means black at a pin without a clamp")
    black_within: Annotated[
        float,
        Quantity("V", 1e-3, 1.0),
        Survey(
            Stage.PAPERS,
            "Data sheet: how far black may be off, with what brightness makes up; only for analog-dc.",
            "5 % of white",
        ),
        Unknown("35 mV", ("70 mV",), "5 % of white, which shows; judgement, stated"),
    ] = Field(0.035, description="How far black may be off, either way, at a pin without a clamp")
    resistance: Annotated[
        float,
        Quantity("ohm", 75.0, 100e6),
        Survey(Stage.PAPERS, "Data sheet, input impedance while not clamping; no meter reads it.", "1M to 10M"),
        Unknown("1M", ("10M",), "a pin of less would move more charge than its clamp can give back"),
    ] = Field(1e6, description="Input resistance of a colour pin between clamps, without any termination")
    capacitance: Annotated[
        float,
        Quantity("F", 0.0, 200e-12),
        Survey(Stage.PAPERS, "Data sheet, input capacitance.", "5 pF"),
        Unknown("15 pF", ("2 pF",), "more than any sheet prints; from memory"),
    ] = Field(5e-12, description="Input capacitance of a colour pin")
    leakage: Annotated[
        float,
        Quantity("A", 0.0, 20e-6),
        Survey(Stage.PAPERS, "Data sheet, input current or clamp leakage.", "0.1 uA"),
        Unknown("1 uA", ("0 A",), "ten times what sheets print"),
    ] = Field(0.1e-6, description="Current that discharges the coupling capacitor between clamps")
    clamp_current: Annotated[
        float,
        Quantity("A", 1e-6, 5e-3),
        Survey(Stage.PAPERS, "Data sheet, clamp current, least value.", "40 to 140 uA"),
        Unknown("40 uA", ("140 uA",), "the least in any sheet"),
    ] = Field(40e-6, description="Current of the keyed clamp")
    clamp_time: Annotated[
        float,
        Quantity("s", 0.5e-6, 10e-6),
        Survey(Stage.PAPERS, "Data sheet, width of the burst key.", "2 to 4 us"),
        Unknown("2 us", ("4 us",), "the shortest usual burst key; common practice, no source"),
    ] = Field(4e-6, description="Length of the clamp pulse in each line")
    coupling_fitted: Annotated[
        float | None,
        Quantity("F", 10e-12, 1e-3),
        Survey(Stage.LOOK, "Read the capacitor between the place where you solder and the pin, if one stays.", "100n"),
        Unknown(None, ("100n",), "the board brings its own: two in a row do no harm, none does"),
    ] = Field(None, description="Coupling capacitor that stays in the set; leave it out where there is none")
    termination_fitted: Annotated[
        bool,
        Survey(Stage.OHMS, "Ohmmeter from each landing to the jungle's ground: near 75 ohm means fitted."),
        Unknown(
            False,
            (True,),
            "a second termination costs 3.5 dB, a missing one makes the picture too bright",
            decides=True,
        ),
    ] = Field(False, description="Whether 75 ohm to ground stay in the set at the colour landings")
    lead_length: Annotated[
        float, Quantity("m", 0.0, 2.0), Survey(Stage.LOOK, "Lay a string from the board's place to the pins.", "0.3 m")
    ] = Field(0.3, description="Length of the wires from the board to the colour pins")
    lead_kind: Annotated[LeadKind, Survey(Stage.CHOICE, "Choose: coax above 0.3 m.", "hook-up")] = Field(
        "hook-up", description="Kind of the wires from the board to the colour pins"
    )
    luminance_delay: Annotated[
        float,
        Quantity("s", 0.0, 2e-6),
        Survey(Stage.PAPERS, "Circuit diagram: the luminance delay line.", "0.2 to 0.6 us"),
        Unknown("0.6 us", ("0.2 us",), "the longest usual one; from memory"),
    ] = Field(0.35e-6, description="Delay of the set's luminance, which RGB does not pass")
    at_red: Annotated[Told, LANDING_AT.such_as("IC201 pin 14, track to C221 cut")] = Field(
        "", description="Where red is soldered"
    )
    at_green: Annotated[Told, LANDING_AT.such_as("IC201 pin 15, track to C222 cut")] = Field(
        "", description="Where green is soldered"
    )
    at_blue: Annotated[Told, LANDING_AT.such_as("IC201 pin 16, track to C223 cut")] = Field(
        "", description="Where blue is soldered"
    )


class Blanking(Table):
    """The pin that switches the processor to RGB."""

    off_below: Annotated[
        float,
        Quantity("V", 0.05, 12.0),
        Survey(Stage.PAPERS, "Data sheet, fast blanking: greatest voltage that is surely off.", "0.4 V"),
        Unknown("0.4 V", ("0.5 V",), "the least in any sheet"),
    ] = Field(0.4, description="Below this the pin shows the set's own picture")
    on_above: Annotated[
        float,
        Quantity("V", 0.1, 14.0),
        Survey(Stage.PAPERS, "Data sheet, fast blanking: least voltage that is surely on.", "0.9 V"),
        Unknown("1 V", ("0.85 V",), "the most in any sheet of a television processor"),
    ] = Field(0.9, validate_default=True, description="Above this the pin shows RGB")
    maximum: Annotated[
        float,
        Quantity("V", 0.3, 15.0),
        Survey(
            Stage.PAPERS, "Data sheet, fast blanking: where a second meaning begins, or the absolute maximum.", "3 V"
        ),
        Unknown("3 V", ("5 V",), "the least in any sheet"),
    ] = Field(3.0, validate_default=True, description="Above this the pin means something else or is damaged")
    pin_current: Annotated[
        float,
        Quantity("A", 0.0, 5e-3),
        Survey(Stage.PAPERS, "Data sheet, greatest input current.", "10 to 300 uA"),
        Unknown("0.3 mA", ("10 uA",), "the most in any sheet"),
    ] = Field(0.2e-3, description="Greatest current of the pin, taken in either direction")
    native: Annotated[
        NativeBlanking,
        Survey(
            Stage.OHMS,
            "Ohmmeter from the pin to the jungle's ground, both ways round: near 0 is grounded.  Then follow the "
            "track: driven when a part of the set ends on it, open when nothing does.",
            "grounded",
        ),
        Unknown("driven", ("grounded", "open"), "what the set does is given back, whatever it is"),
    ] = Field(description="What the set itself does with the pin")
    native_resistance: Annotated[
        float | None,
        Quantity("ohm", 0.0, 10e6),
        Survey(Stage.LOOK, "Read the resistor between the pin and what drives it.", "1k to 10k"),
        Unknown("10k", ("1k",), "a weak drive is pulled off most easily; from memory"),
    ] = Field(None, description="Resistance through which the set drives or grounds the pin")
    fitted_resistor: Annotated[
        float | None,
        Quantity("ohm", 1.0, 10e6),
        Survey(
            Stage.LIFTED,
            "Ohmmeter from pin to ground with the native wire lifted; leave out when open.",
            "1k to 10k",
        ),
        Unknown(None, ("1k",), "with it the pin is too low, without it too high", decides=True),
    ] = Field(None, description="Resistor to ground that stays on the pin")
    at: Annotated[Told, LANDING_AT.such_as("IC201 pin 13, lifted from ground")] = Field(
        "", description="Where blanking is soldered"
    )
    at_native: Annotated[Told, NATIVE_AT.such_as("R214, the end that pin 13 was lifted from")] = Field(
        "", description="Where the set's own blanking wire comes from"
    )

    @field_validator("on_above")
    @classmethod
    def _on_above_off(cls, value: float, info: ValidationInfo) -> float:
        return rising(info, value, "off_below")

    @field_validator("maximum")
    @classmethod
    def _maximum_above_on(cls, value: float, info: ValidationInfo) -> float:
        return rising(info, value, "off_below", "on_above")
