"""The panel as DXF, in millimetres, for a cutter or a mill: what is cut on layers of its own.

ezdxf reads its configuration when it is imported, from home, working folder and environment, and lists the fonts of the
machine in a file at home.  Here it does neither, and its options are the built-in ones while the drawing is made.
Who uses ezdxf in the same process imports it first: then it is loaded as he has it, and his options are put back.
"""

from __future__ import annotations

import io
import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from rasterport.emit.panel_words import SCALE_MM, foot, size
from rasterport.records import Panel

LAYERS = {"EDGE": 8, "CUT": 1, "SCREW": 3, "PLUG": 9, "WORDS": 7, "SCALE": 5}
"""Layer -> its colour in the index of AutoCAD's colours, which DXF uses."""


def panel_dxf(panel: Panel, title: str, remark: str = "") -> str:
    """The drawing, y upwards from the lower left corner of the panel.  No clock and no identifier of the run in it."""
    if "ezdxf" not in sys.modules:
        with _unconfigured():
            import ezdxf  # noqa: F401
    # A heavy import, and only a panel needs it.
    from ezdxf import units
    from ezdxf._options import default_config, options
    from ezdxf.filemanagement import new

    before, options._config = options._config, default_config()
    try:
        options.write_fixed_meta_data_for_testing = True
        drawing = new("R2010", units=units.MM)
        for name, colour in LAYERS.items():
            drawing.layers.add(name, color=colour)
        space = drawing.modelspace()

        def box(x: float, y: float, wide: float, high: float, layer: str) -> None:
            corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
            space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})

        def words(text: str, x: float, y: float, height: float = 2.5) -> None:
            space.add_text(text, height=height, dxfattribs={"layer": "WORDS"}).set_placement((x, y))

        box(0.0, 0.0, panel.width_mm, panel.height_mm, "EDGE")
        for placed in panel.placed:
            o, x, y = placed.opening, placed.x_mm, panel.height_mm - placed.y_mm
            wide, high = o.room_mm
            if o.hole_mm:
                space.add_circle((x, y), o.hole_mm / 2, dxfattribs={"layer": "CUT"})
            else:
                box(x - o.width_mm / 2, y - o.height_mm / 2, o.width_mm, o.height_mm, "CUT")
            for screw_x, screw_y in placed.screws:
                centre = (screw_x, panel.height_mm - screw_y)
                space.add_circle(centre, o.fixing_hole_mm / 2, dxfattribs={"layer": "SCREW"})
            box(x - wide / 2, y - high / 2, wide, high, "PLUG")
            words(f"{o.ref} {o.words}", x - wide / 2, y - high / 2 - 4, 2.0)
            words(size(o), x - wide / 2, y - high / 2 - 8, 2.0)
        space.add_line((0, -10), (SCALE_MM, -10), dxfattribs={"layer": "SCALE"})
        for n, text in enumerate(foot(panel, title, remark)):
            words(text, 0.0, -18.0 - 5 * n)
        # The library takes classes out of a set when it writes; those that are there already keep their order.
        for kind in sorted(drawing.entitydb.dxf_types_in_use()):
            drawing.classes.add_class(kind)
        out = io.StringIO()
        drawing.write(out)
    finally:
        options._config = before
    return out.getvalue().replace("\r\n", "\n")


@contextmanager
def _unconfigured() -> Iterator[None]:
    """What imports ezdxf in here finds a home of its own, with a list of no fonts, and reads no configuration."""
    from configparser import ConfigParser
    from unittest.mock import patch

    with TemporaryDirectory(prefix="rasterport-") as home:
        fonts = Path(home, "ezdxf", "font_manager_cache.json")
        fonts.parent.mkdir()
        fonts.write_text(json.dumps({"version": 0, "font-faces": []}), encoding="utf-8")
        own = {"XDG_CONFIG_HOME": home, "XDG_CACHE_HOME": home, "EZDXF_CONFIG_FILE": ""}
        with patch.dict(os.environ, own), patch.object(ConfigParser, "read", return_value=[]):
            yield
