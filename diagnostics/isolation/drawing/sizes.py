"""Measures of a drawing, in px."""

PAD = 8.0  # from an outline to its words
LEAST_HEIGHT = 44.0  # what a finger needs
WINDOW = 18.0  # width of the window that shows the state
BOX = 250.0  # widest box of a place
TRUNK_BOX = 264.0  # widest box on the spine in the middle
LEAST_BOX = 128.0
NARROWEST = 92.0  # below this no name can be read: the drawing becomes wider than asked
JOINT = 92.0  # box of a splice that has its only branch beside it
GLYPH_ROOM = 32.0
GLYPH_FROM = 150.0  # narrower boxes have no sign of their kind

LEG = 84.0  # from spine to box: room for "27 in 100"
SHORT_LEG = 14.0
WORDS_FROM = 72.0  # shorter legs have their words above the box
BAR = 10.0
SPINE_AT = 15.0  # from the edge of a box to the middle of its spine

GAP = 12.0  # between rows
ONWARD = 30.0  # from a place to the next on the spine
HEAD = 26.0  # from the top of a panel line to the first box behind it
PANEL_LINE = 12.0  # from the top of that room to the line itself
MARGIN = 7.0  # from a box to its panel line
PANEL_WORDS = 148.0  # room beside a hub for the name of its panel
EDGE = 8.0  # around everything
LANE = 13.0  # between extra links
TWO_SIDED_FROM = 640.0
PARTS = 28.0  # between parts of a map that no wire joins

THIN, WIRE, STRONG, THICK = 1.25, 1.75, 2.75, 4.0
