"""Models of [set] and of what it offers besides colour.  Each key says how its value is found."""

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from rasterport.variant.base import (
    ARRANGEMENT,
    BEHIND,
    CUT_OFF,
    FRONT_JACK,
    JACK_CONTACT,
    LANDING_AT,
    MUTING,
    NAMING,
    NATIVE_AT,
    NEEDS_SYNC,
    S_VIDEO,
    SELECTING,
    SHARED_BY,
    Arrangement,
    FrontJack,
    JackContact,
    SVideo,
    Table,
    contact_that_can_be,
    cut_that_can_be,
    front_that_can_be,
    must,
)
from rasterport.variant.chassis import Work
from rasterport.variant.colour import Blanking, Rgb
from rasterport.variant.display import Display
from rasterport.variant.fields import UNKNOWN, Quantity, Stage, Survey, Text, Told, Unknown

Lines = Literal["525/60", "625/50", "both"]
Scan = Literal["single", "double", "unknown"]
SignalGround = Literal["unverified", "live", "isolated"]  # the safe one first: messages offer it
SyncAccepts = Literal["video", "clean-sync"]
SyncTermination = Literal["none", "movable", "fixed"]
Coupling = Literal["ac", "dc"]
Channels = Literal["stereo", "mono"]
RailKind = Literal["run", "standby"]


class Sync(Table):
    """Where sync enters."""

    arrangement: Annotated[Arrangement, ARRANGEMENT] = Field(description="How the sync landing is shared")
    accepts: Annotated[
        SyncAccepts,
        Survey(Stage.PAPERS, "Block diagram: does a sync separator follow?  Then video will do.", "video"),
        Unknown("clean-sync", ("video",), "sync alone serves either"),
    ] = Field("video", description="Whether the landing takes sync with picture or wants sync alone")
    termination: Annotated[
        SyncTermination,
        Survey(Stage.OHMS, "Ohmmeter from the landing to ground: near 75 ohm means fitted; can it be moved?", "none"),
        Unknown(
            "none",
            ("movable", "fixed"),
            "a second termination costs 3.5 dB, a missing one makes sync too high",
            decides=True,
        ),
    ] = Field("none", description="Whether the set has 75 ohm at this landing, and whether it can be moved")
    coupling: Annotated[
        Coupling,
        Survey(Stage.LOOK, "Is a capacitor between landing and circuit?  Then ac.", "ac"),
        Unknown("dc", ("ac",), "a capacitor too many does less harm than none"),
    ] = Field("ac", description="How the set couples the landing")
    resistance: Annotated[
        float,
        Quantity("ohm", 75.0, 10e6),
        Survey(Stage.OHMS, "Ohmmeter from the landing to ground.", "4k7 to 1M"),
        Unknown("4k7", ("1M",), "the least usual one"),
    ] = Field(10e3, description="Resistance of the landing without its 75 ohm")
    bias: Annotated[
        float,
        Quantity("V", 0.0, 12.0),
        Survey(Stage.VOLTS, "Voltmeter, black lead clipped to the jungle's ground first, then the landing.", "0 V"),
        Unknown("12 V", ("0 V",), "the most that a landing may have here"),
    ] = Field(0.0, description="Direct voltage that the set puts on the landing")
    maximum: Annotated[
        float,
        Quantity("V", 0.3, 10.0),
        Survey(Stage.PAPERS, "Data sheet, video or sync input, peak to peak.", "2 V"),
        Unknown("1.5 V", ("4 V",), "a little more than composite video at its highest"),
    ] = Field(2.0, description="Greatest level of the landing, peak to peak")
    shares: Annotated[Told, SHARED_BY.such_as("the rear composite jack")] = Field(
        "", description="Which jack of the set shares the landing"
    )
    front_jack: Annotated[FrontJack, FRONT_JACK] = Field(
        "none", description="Further jack at the front: wired in parallel, or with a contact that a plug opens"
    )
    s_video: Annotated[SVideo, S_VIDEO] = Field(
        "none", description="Whether a plug in the S-video socket silences the composite jack, or the landing with it"
    )
    jack_contact: Annotated[JackContact, JACK_CONTACT] = Field(
        "board", description="What the switch contact of a normalled jack parts from the plug"
    )
    cut_off: Annotated[bool, CUT_OFF] = Field(
        False, description="Whether the jack of a dedicated landing is cut off from it"
    )
    input: Annotated[Told, NAMING.such_as("VIDEO 1")] = Field(
        "", description="The set's name for the input that the jack belongs to"
    )
    select: Annotated[Told, SELECTING.such_as("VIDEO 1 at the remote control")] = Field(
        "", description="What to select on the set"
    )
    mutes_without: Annotated[Told, MUTING.such_as("a blue screen, sound muted")] = Field(
        "", description="What the set blanks or mutes without this signal"
    )
    at: Annotated[Told, LANDING_AT.such_as("C301, input end, lifted from R301")] = Field(
        "", description="Where sync is soldered"
    )
    at_native: Annotated[Told, NATIVE_AT.such_as("R301, the end that C301 was lifted from")] = Field(
        "", description="Where the set's own sync comes from"
    )

    _front = field_validator("front_jack")(front_that_can_be)
    _contact = field_validator("jack_contact")(contact_that_can_be)
    _cut = field_validator("cut_off")(cut_that_can_be)

    @field_validator("s_video")
    @classmethod
    def _s_video_that_can_be(cls, value: SVideo, info: ValidationInfo) -> SVideo:
        if value == "silences-landing" and info.data.get("arrangement") == "after-switch":
            raise must(BEHIND)
        return value


class Audio(Table):
    """Where audio enters."""

    arrangement: Annotated[Arrangement, ARRANGEMENT] = Field(description="How the audio landing is shared")
    channels: Annotated[Channels, Survey(Stage.PAPERS, "Block diagram: one sound channel or two?", "stereo")] = Field(
        "stereo", description="Channels of the set"
    )
    resistance: Annotated[
        float,
        Quantity("ohm", 600.0, 10e6),
        Survey(Stage.PAPERS, "Data sheet, audio input impedance.", "10k to 47k"),
        Unknown("10k", ("1M",), "the least usual one"),
    ] = Field(10e3, description="Input resistance of the landing")
    maximum: Annotated[
        float,
        Quantity("V", 0.05, 10.0),
        Survey(Stage.PAPERS, "Data sheet, audio input before clipping, r.m.s.", "0.5 to 2 V"),
        Unknown("0.5 V", ("2 V",), "what the nominal level of the socket is"),
    ] = Field(2.0, description="Greatest level of the landing, r.m.s.")
    shares: Annotated[Told, SHARED_BY.such_as("the rear audio jacks")] = Field(
        "", description="Which jacks of the set share the landing"
    )
    front_jack: Annotated[FrontJack, FRONT_JACK] = Field(
        "none", description="Further jacks at the front: wired in parallel, or with a contact that a plug opens"
    )
    jack_contact: Annotated[JackContact, JACK_CONTACT] = Field(
        "board", description="What the switch contacts of normalled jacks part from the plugs"
    )
    cut_off: Annotated[bool, CUT_OFF] = Field(
        False, description="Whether the jacks of a dedicated landing are cut off from it"
    )
    input: Annotated[Told, NAMING.such_as("LINE 1")] = Field(
        "", description="The set's name for the input that the jacks belong to"
    )
    select: Annotated[Told, SELECTING.such_as("LINE 1 at the remote control")] = Field(
        "", description="What to select on the set"
    )
    mutes_without: Annotated[Told, MUTING.such_as("sound of both sides muted")] = Field(
        "", description="What the set mutes without this signal"
    )
    needs_sync: Annotated[bool, NEEDS_SYNC] = Field(
        False, description="Whether the set mutes sound while it sees no sync at the input that is selected"
    )
    at_left: Annotated[Told, LANDING_AT.such_as("C351, input end, lifted from R351")] = Field(
        "", description="Where left, or mono, is soldered"
    )
    at_right: Annotated[Told, LANDING_AT.such_as("C352, input end, lifted from R352")] = Field(
        "", description="Where right is soldered"
    )
    at_native_left: Annotated[Told, NATIVE_AT.such_as("R351, the end that C351 was lifted from")] = Field(
        "", description="Where the set's own left comes from"
    )
    at_native_right: Annotated[Told, NATIVE_AT.such_as("R352, the end that C352 was lifted from")] = Field(
        "", description="Where the set's own right comes from"
    )

    _front = field_validator("front_jack")(front_that_can_be)
    _contact = field_validator("jack_contact")(contact_that_can_be)
    _cut = field_validator("cut_off")(cut_that_can_be)


class Supply(Table):
    """The rail of the set that feeds the board."""

    voltage: Annotated[
        float,
        Quantity("V", 3.0, 15.0),
        Survey(
            Stage.VOLTS,
            "Voltmeter on the rail, black lead clipped to the jungle's ground first; 5, 8, 9 and 12 V are common.",
            "9 V",
        ),
        Unknown("9 V", ("5 V", "12 V"), "any other rail may destroy the board or leave it dead", decides=True),
    ] = Field(description="Nominal voltage of the rail")
    tolerance: Annotated[
        float,
        Quantity("%", 0.0, 0.2),
        Survey(Stage.PAPERS, "Data sheet of the rail's regulator.", "5 %"),
        Unknown("5 %", ("2 %",), "the most of a regulated rail; common practice, no source"),
    ] = Field(0.05, description="Tolerance of the rail, either way")
    spare_current: Annotated[
        float,
        Quantity("A", 1e-3, 2.0),
        Survey(Stage.PAPERS, "The regulator's rating less what the set takes; half of the rest at most.", "100 mA"),
        Unknown("30 mA", ("500 mA",), "what a set can spare nearly always; judgement, stated"),
    ] = Field(description="Current that the rail can spare for the board")
    kind: Annotated[
        RailKind,
        Survey(Stage.VOLTS, "Put the set in standby: a run rail goes away, a standby rail stays.", "run"),
        Unknown("standby", ("run",), "a standby rail feeds milliamperes into a dead processor"),
    ] = Field("run", description="Whether the rail vanishes in standby")
    at: Annotated[Told, LANDING_AT.such_as("output of IC601")] = Field("", description="Where the rail is tapped")


class SetTable(Table):
    """The television set."""

    lines: Annotated[Lines, Survey(Stage.PAPERS, "Line standard of the sources you will use.", "525/60")] = Field(
        description="Line standard that the board is judged for"
    )
    scan: Annotated[
        Scan,
        Survey(
            Stage.PAPERS, "Service manual: line rate at the processor, 15.6 kHz is single, 31 kHz double.", "single"
        ),
    ] = Field("single", description="Line rate at the colour pins")
    signal_ground: Annotated[
        SignalGround,
        Survey(
            Stage.PAPERS,
            "Service manual: is the ground of the jacks isolated from the mains?  Proof is the leakage test in that "
            "manual, done by somebody licensed and equipped for it.  In doubt write unverified: no board is made then.",
        ),
    ] = Field(description="Whether the ground of the signals is isolated from the mains")
    ground_verified: Annotated[
        Text,
        Survey(Stage.PAPERS, "Write down who found out, when, and by which test of the manual."),
    ] = Field("", validate_default=True, description="How the isolation was verified; needed when it is isolated")
    ground_at: Annotated[
        Told,
        Survey(
            Stage.OHMS,
            "Ohmmeter: below 1 ohm to the processor's ground pin; not deflection, sound or heat sink.",
            "ground of C411, beside the jungle IC",
        ),
    ] = Field("", description="Where the first ground is soldered, at the jungle")
    second_ground_at: Annotated[
        Told,
        Survey(Stage.OHMS, "As the first ground, a second place beside it.", "shield of the video board, beside pin 1"),
    ] = Field("", description="Where the second ground is soldered, at the jungle")
    processor: Annotated[
        Told,
        Survey(
            Stage.LOOK,
            "Read the type on the largest IC beside the neck board's plug; `rasterport processors` lists those whose "
            "figures are known.",
        ),
    ] = Field("", description="Video processor, whose row gives what the file leaves open")
    rgb: Rgb
    display: Display | None = None
    blanking: Blanking
    sync: Sync
    audio: Audio | None = None
    supply: Supply
    work: Annotated[tuple[Work, ...], Field(strict=False)] = Field(
        (), description="Work on the chassis in its order; the way back is its reverse"
    )

    @field_validator("ground_verified")
    @classmethod
    def _isolation_is_verified(cls, value: str, info: ValidationInfo) -> str:
        if info.data.get("signal_ground") == "isolated" and not value.strip():
            raise must('must say how the isolation was verified, or signal_ground must be "unverified"')
        if value.strip().casefold() == UNKNOWN:  # it may stand for a value, never for a test that nobody made
            raise must(
                f'may not be "{UNKNOWN}": say how the isolation was verified, or write signal_ground = "unverified"'
            )
        return value
