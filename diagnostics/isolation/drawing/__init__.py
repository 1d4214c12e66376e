"""The map of a circuit as a drawing and as a table, with what a search has found out. No Django."""

from diagnostics.isolation.drawing.layout import lay_out
from diagnostics.isolation.drawing.marks import Mark, Marks, State, chance_words
from diagnostics.isolation.drawing.picture import DrawnPlace, DrawnWire, DrawnZone, Picture, Rect, Text
from diagnostics.isolation.drawing.telling import Row, rows

__all__ = [
    "DrawnPlace",
    "DrawnWire",
    "DrawnZone",
    "Mark",
    "Marks",
    "Picture",
    "Rect",
    "Row",
    "State",
    "Text",
    "chance_words",
    "lay_out",
    "rows",
]
