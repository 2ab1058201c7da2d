"""The style of all plots: below one class, by variables that follow the page by day, by night and on paper.

Lines are told apart by their dashes as well, so that a print in black shows the same.
"""

from __future__ import annotations

from rasterport.emit.plots.ink import SIZE, WIDE

STYLE = f"""
.plot{{--plot-ink:var(--ink,#14181d);--plot-paper:var(--paper,#fff);--plot-faint:var(--faint,#4d5866);
--plot-grid:#dde1e6;--plot-line:#0b4f9e;--plot-limit:#8a5a00;--plot-over:#a3211b;
display:block;width:100%;max-width:{WIDE * 1.1:g}px;height:auto}}
@media (prefers-color-scheme:dark){{.plot{{--plot-grid:#333c45;--plot-line:#7fb4ff;--plot-limit:#e0b04d;
--plot-over:#ff9d92}}}}
@media print{{.plot{{--plot-grid:#ccc;--plot-line:#000;--plot-limit:#000;--plot-over:#000;break-inside:avoid}}}}
.plot text{{font:{SIZE}px ui-monospace,"DejaVu Sans Mono","Liberation Mono",monospace;fill:var(--plot-ink);stroke:none}}
.plot .on{{paint-order:stroke;stroke:var(--plot-paper);stroke-width:3px;stroke-linejoin:round}}
.plot .axis{{fill:var(--plot-faint)}}.plot .bound{{fill:var(--plot-limit)}}
.plot .over{{fill:var(--plot-over);font-weight:700}}
.plot path{{fill:none;stroke:var(--plot-ink);stroke-width:1}}
.plot .grid{{stroke:var(--plot-grid)}}
.plot .nominal{{stroke:var(--plot-line);stroke-width:2}}
.plot .other{{stroke:var(--plot-line);stroke-width:1.6;stroke-dasharray:7 3}}
.plot .edge{{stroke:var(--plot-line);stroke-width:1;stroke-dasharray:2 2}}
.plot .band{{fill:var(--plot-line);fill-opacity:.17;stroke:none}}
.plot .limit{{stroke:var(--plot-limit);stroke-width:1.4;stroke-dasharray:6 3}}
.plot .corner{{stroke:var(--plot-limit);stroke-width:1.4;stroke-dasharray:6 3}}
.plot .beside{{fill:var(--plot-limit);fill-opacity:.07;stroke:none}}
.plot .mark{{stroke:var(--plot-limit);stroke-width:1.2;stroke-dasharray:3 3}}
.plot .bar{{fill:var(--plot-line);fill-opacity:.75;stroke:none}}
.plot .beyond{{fill:var(--plot-over);stroke:none}}
.plot .tick{{stroke:var(--plot-over);stroke-width:2}}
.plot .middle{{stroke:var(--plot-paper);stroke-width:2}}
"""
"""Once in a page that holds plots."""
