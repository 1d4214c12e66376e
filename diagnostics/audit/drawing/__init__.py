"""The charts of the audit as drawings with a text and a table that say the same. No Django.

Each function returns a `Chart`: the picture for wide and for narrow room, what a screen reader says, and the
figures as a table. `svg` writes a picture for a page, `paper_svg` for a paper.
"""

from diagnostics.audit.drawing.curve import curve_drawing
from diagnostics.audit.drawing.cusum import cusum_drawing
from diagnostics.audit.drawing.funnel import FunnelLimit, FunnelPoint, FunnelScale, funnel_drawing
from diagnostics.audit.drawing.months import Month, p_chart_drawing
from diagnostics.audit.drawing.picture import Chart, Picture, Table
from diagnostics.audit.drawing.strip import Strip, strip
from diagnostics.audit.drawing.writing import paper_svg, svg

__all__ = [
    "Chart",
    "FunnelLimit",
    "FunnelPoint",
    "FunnelScale",
    "Month",
    "Picture",
    "Strip",
    "Table",
    "curve_drawing",
    "cusum_drawing",
    "funnel_drawing",
    "p_chart_drawing",
    "paper_svg",
    "strip",
    "svg",
]
