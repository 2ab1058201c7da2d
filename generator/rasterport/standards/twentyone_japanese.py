"""21-contact socket, Japanese wiring: EIAJ TTC-0003, later JEITA CPR-1201, seen from the set.

Contact table as three public texts give it alike: a home-computer encyclopaedia page on RGB21, a list
headed EIAJ TTC-003 and a table that compares both wirings.  The document itself was not read.
The level of contact 11 rests on one of these texts alone.
"""

from __future__ import annotations

from rasterport.standards.contacts import SocketWiring, read_table

TABLE = """
    1   audio-in-left         audio-left   0.4 V r.m.s., load at least 47k
    2   audio-out-left        unused       output of the set
    3   audio-in-return       ground       -
    4   audio-out-return      ground       -
    5   audio-in-right        audio-right  0.4 V r.m.s., load at least 47k
    6   audio-out-right       unused       output of the set
    7   video-in-return       ground       -
    8   video-out-return      ground       -
    9   video-in              sync         1 Vpp composite video or sync, 75 ohm
    10  video-out             unused       output of the set
    11  av-control            status-11    on from 3 V, 5 V in practice, 22k
    12  half-tone             unused       Ym, 75 ohm; loaded by the board, not used
    13  red-return            ground       -
    14  blanking-return       ground       return of 12 and 16
    15  red                   red          0.7 Vpp into 75 ohm
    16  blanking              status-16    Ys, 0 to 0.4 V off, 1 to 3 V on, 75 ohm
    17  green-return          ground       -
    18  blue-return           ground       -
    19  green                 green        0.7 Vpp into 75 ohm
    20  blue                  blue         0.7 Vpp into 75 ohm
    21  shell                 shell        -
"""

WIRING = SocketWiring(
    key="japanese-21",
    title="21-contact socket, Japanese wiring",
    document="EIAJ TTC-0003 / JEITA CPR-1201",
    contacts=read_table(TABLE),
    confidence="two to three texts agree; level of contact 11 from one text",
    caution=(
        "The same shell exists with the European wiring, where contacts 5 and 9 are returns and 19 is an output: "
        "plug in Japanese leads only."
    ),
)
