"""Models of the variant file.  `Variant` is the file; its attributes bear the names of the tables and keys."""

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from rasterport.standards.interface_levels import SUPERIMPOSED_DC
from rasterport.variant.base import Arrangement, Table, must, rising
from rasterport.variant.built import MOST_BOARDS, BuiltBoard
from rasterport.variant.chassis import BuiltOn, Contacts, Place, Work, WorkKind
from rasterport.variant.colour import Blanking, Insertion, LeadKind, NativeBlanking, Rgb, RgbPinKind
from rasterport.variant.fields import Fitted, Name, Quantity, Role, Stage, Survey, Text, Told, Unknown
from rasterport.variant.set_models import (
    Audio,
    Channels,
    Coupling,
    Lines,
    RailKind,
    Scan,
    SetTable,
    SignalGround,
    Supply,
    Sync,
    SyncAccepts,
    SyncTermination,
)

__all__ = [
    "About", "Arrangement", "Audio", "Blanking", "Board", "Channels", "Construction", "Control", "Coupling",
    "Gate", "Input", "InputAudio", "InputSync", "Insertion", "Landing", "LeadKind", "Lines", "Mounting",
    "NativeBlanking", "Path", "Polarity", "RailKind", "Regulator", "Rgb", "RgbPinKind", "Scan", "Selector",
    "SetTable", "SignalGround", "Socket", "SourceCoupling", "StatusContact", "Supply", "SupplyElement", "Sync",
    "SyncAccepts", "SyncTermination", "Table", "Variant", "Work", "WorkKind",
]  # fmt: skip

Socket = Literal["european-21", "japanese-21", "de-15", "bnc-4", "phono-4"]
Mounting = Literal["board", "panel", "cable", "existing"]
InputSync = Literal["composite-video", "composite-sync", "ttl-composite", "separate", "on-green"]
Polarity = Literal["negative", "positive"]
StatusContact = Literal[8, 11, 16]
SourceCoupling = Literal["ac", "dc", "either"]
InputAudio = Literal["stereo", "mono", "none"]
Path = Literal["direct", "gang", "relay", "cmos"]
Control = Literal["panel", "status", "status-or-panel"]
Gate = Literal["none", "line", "after-switch"]
Level = Literal["high", "low"]
Construction = Literal["smd", "through-hole", "wired"]
Landing = Literal["header", "pads"]
Regulator = Literal["auto", "yes", "no"]
SupplyElement = Literal["fusible", "ptc"]

MOST_FITTED = 500
INPUTS = 8
"""Greatest number of inputs that a board is made for."""

TTL = Survey(Stage.PAPERS, "Manual of the source: level of its sync output; only for ttl-composite.")

BLACK = Survey(
    Stage.PAPERS,
    "Manual of the source, or it alone on an oscilloscope: black into 75 ohm on a colour; only for analog-dc.",
    "0 to 0.02 V",
)


def wish(how: str, usual: str = "") -> Survey:
    """Metadata of a key that is chosen, not found."""
    return Survey(Stage.CHOICE, how, usual)


class About(Table):
    """What the file is called."""

    name: Annotated[Name, wish("Choose: it names the folder and the files of the results.", "kestrel")] = Field(
        description="Name of the variant: 1 to 40 of a-z, 0-9 and -, the first no hyphen"
    )
    title: Annotated[Text, wish("Choose: it stands in the netlist and in the manifest.")] = Field(
        "", description="Title in words"
    )
    revision: Annotated[Text, wish("Choose: raise it when you order boards.", "1")] = Field(
        "1", description="Revision of the board"
    )
    notes: Annotated[Text, wish("Choose: they stand in the manifest.")] = Field("", description="Notes of your own")
    like: Annotated[
        Text, wish("Choose: another variant file, of which this one states only what differs.", "kestrel.toml")
    ] = Field("", description="Variant file in the same folder or below whose tables this one takes over")


class Input(Table):
    """One rear socket with its signals."""

    socket: Annotated[Socket, wish("Choose by the cable you have; the two 21-contact wirings differ.")] = Field(
        description="Connector and, for 21 contacts, its wiring"
    )
    mounting: Annotated[
        Mounting,
        wish(
            "Choose: soldered to the board, in the panel with wires, on a lead of its own (cable), or existing: a "
            "socket that the set has.",
            "board",
        ),
    ] = Field("board", description="Where the socket sits")
    wired_contacts: Annotated[
        Contacts,
        Survey(
            Stage.OHMS,
            "Ohmmeter from each contact of the set's own socket to its ground and along the tracks: which of them lead "
            "somewhere?  Only for mounting existing.",
            "4, 17, 18, 21",
        ),
    ] = Field("", description="Contacts of an existing socket that the set has wired already")
    sync: Annotated[
        InputSync,
        Survey(Stage.PAPERS, "Manual of the source and of its cable: what is on the sync contact?", "composite-video"),
    ] = Field("composite-video", description="Kind of sync that arrives")
    sync_polarity: Annotated[
        Polarity, Survey(Stage.PAPERS, "Manual of the source; only for ttl-composite.", "negative")
    ] = Field("negative", description="Polarity of a logic-level sync")
    ttl_high_least: Annotated[
        float, Quantity("V", 0.5, 12.0), TTL, Unknown("2.4 V", ("4 V",), "the least that TTL promises")
    ] = Field(2.4, description="Least high level of a logic-level sync")
    ttl_high_most: Annotated[
        float, Quantity("V", 0.5, 12.0), TTL, Unknown("5.25 V", ("3.3 V",), "TTL at its highest supply")
    ] = Field(5.25, validate_default=True, description="Greatest high level of a logic-level sync")
    status_contact: Annotated[
        StatusContact | None,
        wish("Choose: 16 says RGB is present, 8 only that the source is on; 11 is the Japanese one.", "16"),
    ] = Field(None, description="Contact whose level switches the board; leave it out for a panel switch")
    source_coupling: Annotated[
        SourceCoupling, Survey(Stage.PAPERS, "Manual of the source: capacitors in its outputs?", "either")
    ] = Field("either", description="How the source couples its video outputs; decks take either for ac")
    black_least: Annotated[
        float, Quantity("V", 0.0, 2.0), BLACK, Unknown("0 V", ("0.5 V",), "the least that the standard permits")
    ] = Field(SUPERIMPOSED_DC.low, description="Least direct voltage of black into 75 ohm")
    black_most: Annotated[
        float, Quantity("V", 0.0, 2.0), BLACK, Unknown("2 V", ("0.02 V",), "the most that the standard permits")
    ] = Field(SUPERIMPOSED_DC.high, validate_default=True, description="Greatest direct voltage of black into 75 ohm")
    audio: Annotated[InputAudio, wish("Choose by the cable.", "stereo")] = Field(
        "stereo", description="Sound that arrives"
    )
    audio_maximum: Annotated[
        float,
        Quantity("V", 0.05, 10.0),
        Survey(Stage.PAPERS, "Manual of the source, r.m.s.", "0.5 to 2 V"),
        Unknown("2 V", ("0.5 V",), "the most that a socket may carry"),
    ] = Field(2.0, description="Greatest level of the source's sound, r.m.s.")

    @field_validator("black_most")
    @classmethod
    def _black_most_is_not_below_least(cls, value: float, info: ValidationInfo) -> float:
        return rising(info, value, "black_least")

    @field_validator("ttl_high_most")
    @classmethod
    def _most_is_not_below_least(cls, value: float, info: ValidationInfo) -> float:
        return rising(info, value, "ttl_high_least")


class Selector(Table):
    """What carries the signals and what chooses."""

    path: Annotated[
        Path,
        wish(
            "Choose: direct where every landing is given up to the board, else gang (a switch, up to 4 inputs), relay "
            "(up to 3) or cmos (analog switches, up to 8)."
        ),
    ] = Field(description="What carries the signals")
    control: Annotated[Control, wish("Choose: by hand, or by a status contact of the socket.")] = Field(
        description="What chooses between the set's own signals and the input"
    )
    gate: Annotated[
        Gate,
        wish(
            "Choose: line, where a line of the set tells that the right source is shown; after-switch, where sync "
            "enters behind the set's input switch, so that nothing has to agree.",
            "none",
        ),
    ] = Field("none", description="What must agree before a status contact acts")
    gate_active: Annotated[
        Level,
        Survey(Stage.VOLTS, "Voltmeter on the gate line with the right source selected.", "high"),
        Unknown("high", ("low",), "the wrong one inverts the gate", decides=True),
    ] = Field("high", description="Level of the gate line that lets the board act")
    gate_low: Annotated[
        float,
        Quantity("V", 0.0, 5.0),
        Survey(Stage.VOLTS, "Voltmeter on the gate line: its greatest voltage when low.", "0 to 0.4 V"),
        Unknown("0.8 V", ("0.1 V",), "the most that TTL promises"),
    ] = Field(0.4, description="Greatest voltage of the gate line's low level")
    gate_high: Annotated[
        float,
        Quantity("V", 0.5, 15.0),
        Survey(Stage.VOLTS, "Voltmeter on the gate line: its least voltage when high.", "2.4 to 5 V"),
        Unknown("2.4 V", ("4 V",), "the least that TTL promises"),
    ] = Field(2.4, validate_default=True, description="Least voltage of the gate line's high level")
    gate_maximum: Annotated[
        float,
        Quantity("V", 0.5, 15.0),
        Survey(Stage.PAPERS, "Supply of the part that drives the gate line, at its highest.", "5.5 V"),
        Unknown("15 V", ("5.5 V",), "the most that a rail may have here"),
    ] = Field(5.5, validate_default=True, description="Greatest voltage of the gate line")
    gate_at: Annotated[
        Told, Survey(Stage.LOOK, "Find the gate line and name the place.", "pin G7 of the input switch IC401")
    ] = Field("", description="Where the gate line is soldered")

    @field_validator("gate_high")
    @classmethod
    def _high_above_low(cls, value: float, info: ValidationInfo) -> float:
        return rising(info, value, "gate_low")

    @field_validator("gate_maximum")
    @classmethod
    def _maximum_above_high(cls, value: float, info: ValidationInfo) -> float:
        return rising(info, value, "gate_low", "gate_high")


class Board(Table):
    """How the board is made."""

    construction: Annotated[
        Construction,
        wish("Choose by what you like to solder; wired has no printed board and parts with leads.", "smd"),
    ] = Field("smd", description="Kind of the small parts, or no printed board")
    built_on: Annotated[
        BuiltOn,
        wish(
            "Choose: a stripboard, the socket's own contacts, or empty places of a chassis that was made for another "
            "market too.  Only for construction wired."
        ),
    ] = Field("stripboard", description="What a circuit without a printed board is built on")
    place: Annotated[tuple[Place, ...], Field(strict=False)] = Field(
        (), description="Parts that go into empty places of the chassis"
    )
    landing: Annotated[Landing, wish("Choose: a plug that can be pulled, or wires soldered to pads.", "header")] = (
        Field("header", description="How the wires to the chassis leave the board")
    )
    width: Annotated[
        float | None, Quantity("m", 0.01, 0.5), Survey(Stage.LOOK, "Measure the room; leave 10 mm all round.", "60 mm")
    ] = Field(None, description="Greatest width of the board; not used yet")
    height: Annotated[
        float | None, Quantity("m", 0.01, 0.5), Survey(Stage.LOOK, "Measure the room; leave 10 mm all round.", "40 mm")
    ] = Field(None, description="Greatest height of the board; not used yet")
    blanking_margin: Annotated[
        float, Quantity("V", 0.0, 1.0), wish("Choose: more is safer, too much finds no values.", "0.1 V")
    ] = Field(0.1, description="Distance that blanking keeps from each of its limits at every corner")
    regulator: Annotated[
        Regulator,
        wish(
            "Choose: auto fits one where the rail needs it; yes also puts analog switches on 5 V, which is faster.",
            "auto",
        ),
    ] = Field("auto", description="Whether the board has its own 5 V regulator")
    supply_element: Annotated[SupplyElement | None, wish("Choose: a fusible resistor, or a PTC that recovers.")] = (
        Field(None, description="What protects the rail tap; leave it out to have it chosen")
    )
    clamps: Annotated[bool, wish("Choose: true where cables are plugged with everything on.")] = Field(
        False, description="Whether two-way clamps sit on the video contacts"
    )
    keyed_clamp: Annotated[
        bool,
        wish(
            "Choose: true for analog-dc pins behind a source that may be AC-coupled or carry a direct voltage.",
            "false",
        ),
    ] = Field(
        False,
        description="Whether the board clamps black itself, by the source's sync, for pins without a clamp",
    )
    trimmers: Annotated[
        bool,
        wish(
            "Choose: true where you have an oscilloscope or a good eye; the three colours can then be set alike.",
            "false",
        ),
    ] = Field(
        False,
        description="Whether a trimmer for each colour of each input sets white, a quarter of a decibel either way",
    )

    opaque_menus: Annotated[
        bool,
        wish(
            "Choose: true where menus must hide the picture and every source is DC-coupled with black at ground.",
            "false",
        ),
    ] = Field(
        False,
        description="Whether the display's blanking switches between input and display in place of adding them up",
    )

    @property
    def small_parts(self) -> Literal["smd", "through-hole"]:
        """Kind of the small parts: without a printed board they have leads."""
        return "smd" if self.construction == "smd" else "through-hole"


class Variant(Table):
    """A variant file: one set, one board."""

    variant: About
    set: SetTable
    input: Annotated[tuple[Input, ...], Field(strict=False)]
    selector: Selector
    board: Board = Field(default_factory=lambda: Board.model_validate({}))
    fit: Annotated[dict[Role, Fitted], Field(max_length=MOST_FITTED)] = Field(
        default_factory=dict,
        description="Parts that you choose: role = a value such as 82 or 47n, or a whole part by its key",
    )
    built: Annotated[tuple[BuiltBoard, ...], Field(strict=False, max_length=MOST_BOARDS)] = Field(
        (), description="Boards that were built, each with what was read on it"
    )

    @field_validator("input")
    @classmethod
    def _inputs_that_can_be_made(cls, value: tuple[Input, ...]) -> tuple[Input, ...]:
        if not 1 <= len(value) <= INPUTS:
            raise must(f"must be 1 to {INPUTS} tables [[input]], found {len(value)}")
        return value

    @field_validator("built")
    @classmethod
    def _each_board_once(cls, value: tuple[BuiltBoard, ...]) -> tuple[BuiltBoard, ...]:
        seen: dict[str, int] = {}
        for n, row in enumerate(value, 1):
            first = seen.setdefault(row.serial.strip(), n)
            if first != n:
                raise must(
                    f'must have each board once: serial "{row.serial.strip()}" is that of built-{first} and built-{n}'
                )
        return value
