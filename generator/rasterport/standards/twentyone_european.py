"""21-contact socket, European wiring: EN 50049-1 (IEC 60933-1), seen from the set.

Contact table of EN 50049-1:1989 / IEC 933-1 as tabulated alike in more than five texts: a set maker's
user manual with levels and tolerances, a university text on the CENELEC connector, and connector lists.
The paid standard itself was not read.

Returns 14, 17 and 18 changed their meaning between editions.  EN 50049:1983 has 14 for the data
lines, 17 for both composite contacts and 18 for blanking; EN 50049-1:1989 and later have 14 for
blanking, 17 for video out and 18 for video in.  All of them on one ground is right under every edition.
"""

from __future__ import annotations

from rasterport.standards.contacts import SocketWiring, read_table

TABLE = """
    1   audio-out-right    unused       output of the set
    2   audio-in-right     audio-right  0.5 V r.m.s. nominal, load above 10k
    3   audio-out-left     unused       output of the set
    4   audio-return       ground       -
    5   blue-return        ground       -
    6   audio-in-left      audio-left   0.5 V r.m.s. nominal, left or mono, load above 10k
    7   blue               blue         0.7 Vpp into 75 ohm
    8   function-switch    status-8     0 to 2 V off, 4.5 to 12 V on, load at least 10k
    9   green-return       ground       -
    10  data-line          unused       optional since A3:1995, before that data line 2
    11  green              green        0.7 Vpp into 75 ohm
    12  reserved           unused       no connection, before that data line 1
    13  red-return         ground       -
    14  blanking-return    ground       data return in the edition of 1983
    15  red                red          0.7 Vpp into 75 ohm
    16  blanking           status-16    0 to 0.4 V off, 1 to 3 V on, 75 ohm
    17  video-out-return   ground       common video return in the edition of 1983
    18  video-in-return    ground       blanking return in the edition of 1983
    19  video-out          unused       output of the set
    20  video-in           sync         1 Vpp with 0.3 V of sync, 75 ohm
    21  shell              shell        -
"""

WIRING = SocketWiring(
    key="european-21",
    title="21-contact socket, European wiring",
    document="EN 50049-1 / IEC 60933-1",
    contacts=read_table(TABLE),
    confidence="more than five texts agree; returns 14, 17, 18 differ by edition",
    caution=(
        "The same shell exists with the Japanese wiring, where contacts 5, 9, 19 and 20 carry other signals: "
        "plug in European leads only."
    ),
)
