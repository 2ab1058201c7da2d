"""DE-15 socket for analog RGB, seen from the set.

Contact table as six public lists and monitor manuals give it; 11 and 12 (identification) are swapped
in one list, which does not matter here since both stay open.  Contact 13 carries horizontal sync, or
composite sync where the source sends that.
"""

from __future__ import annotations

from rasterport.standards.contacts import SocketWiring, read_table

TABLE = """
    0   shell            shell   fixing holes
    1   red              red     0.7 Vpp into 75 ohm
    2   green            green   0.7 Vpp into 75 ohm
    3   blue             blue    0.7 Vpp into 75 ohm
    4   identity-2       unused  reserved
    5   ground           ground  also return of horizontal sync
    6   red-return       ground  -
    7   green-return     ground  -
    8   blue-return      ground  -
    9   key              unused  no pin, or +5 V of the source
    10  sync-return      ground  -
    11  identity-0       unused  -
    12  identity-1       unused  data line of the display channel
    13  horizontal-sync  hsync   TTL; also the contact for composite sync
    14  vertical-sync    vsync   TTL
    15  identity-3       unused  clock line of the display channel
"""

WIRING = SocketWiring(
    key="de-15",
    title="DE-15 socket",
    document="common practice of monitor makers, six public lists",
    contacts=read_table(TABLE),
    confidence="six texts agree; 11 and 12 swapped in one",
    caution=(
        "A source with this socket can deliver 31 kHz and more, which a 15 kHz set must never be driven with: "
        "set the source to 15 kHz before it is plugged in."
    ),
)
