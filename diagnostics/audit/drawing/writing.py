"""Drawings as SVG: for a page with the pens of its style sheet, for a paper with ink of their own."""

from __future__ import annotations

from html import escape

from diagnostics.audit.drawing.picture import Band, Chart, Mark, Part, Picture, Stroke, Words

PAPER_PENS = {
    "axis": 'stroke="#000" stroke-width="1.4"',
    "grid": 'stroke="#a6a6a6" stroke-width="0.7"',
    "curve": 'stroke="#000" stroke-width="2.6"',
    "limit": 'stroke="#404040" stroke-width="1.2"',
    "far": 'stroke="#404040" stroke-width="1.2" stroke-dasharray="5 4"',
    "center": 'stroke="#404040" stroke-width="1.2" stroke-dasharray="12 4"',
    "leader": 'stroke="#000" stroke-width="0.9"',
}
PAPER_VOICES = {"plain": 'fill="#000"', "soft": 'fill="#404040"', "strong": 'fill="#000" font-weight="700"'}
PAPER_FACE = "Sofia Sans, Sofia Sans Greek, DejaVu Sans, sans-serif"


def svg(picture: Picture, text: str, *, room: str) -> str:
    """Return a picture for a page, drawn with the classes of its style sheet.

    Parameters
    ----------
    picture : Picture
    text : str
        What the drawing says, for those who do not see it.
    room : str
        "broad" or "narrow"; the style sheet shows the one there is room for.
    """
    said = escape(text)
    parts = "".join(_screen(part) for part in picture.parts)
    return (
        f'<svg class="plot {room}" viewBox="0 0 {picture.width:.0f} {picture.height:.0f}" role="img" '
        f'focusable="false"><title>{said}</title>{parts}</svg>'
    )


def paper_svg(chart: Chart, uid: str) -> str:
    """Return the wide picture of a chart for a paper: black ink, its own hatching, nothing shared.

    `uid` must be the only one of its kind on the paper.
    """
    said = escape(chart.text)
    picture = chart.broad
    parts = "".join(_paper(part, uid) for part in picture.parts)
    return (
        f'<svg class="p-plot" viewBox="0 0 {picture.width:.0f} {picture.height:.0f}" role="img" '
        f'aria-label="{said}"><title>{said}</title><defs><pattern id="{escape(uid)}" width="6" height="6" '
        'patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<path d="M0 0V6" stroke="#595959" stroke-width="0.9"/></pattern></defs>'
        f"{parts}</svg>"
    )


def _screen(part: Part) -> str:
    if isinstance(part, Stroke):
        return f'<path class="{part.pen}" d="{part.path}"/>'
    if isinstance(part, Band):
        return f'<path class="band" d="{part.path}"/>'
    if isinstance(part, Mark):
        return f'<path class="{_mark_class(part)}" d="{_shape(part)}"/>'
    voice = "" if part.voice == "plain" else f' class="{part.voice}"'
    return f'<text{voice} x="{part.x:.1f}" y="{part.y:.1f}"{_anchor(part)}>{escape(part.text)}</text>'


def _paper(part: Part, uid: str) -> str:
    if isinstance(part, Stroke):
        return f'<path d="{part.path}" fill="none" {PAPER_PENS[part.pen]}/>'
    if isinstance(part, Band):
        return f'<path d="{part.path}" fill="url(#{escape(uid)})" stroke="#595959" stroke-width="0.7"/>'
    if isinstance(part, Mark):
        ink = (
            'fill="#fff" stroke="#000" stroke-width="1.4"'
            if part.shape in ("hollow", "out")
            else 'fill="#000"'
        )
        return f'<path d="{_shape(part)}" {ink}/>'
    left, top, right, bottom = part.box
    size = f'width="{right - left:.1f}" height="{bottom - top:.1f}"'
    return (
        f'<rect x="{left:.1f}" y="{top:.1f}" {size} fill="#fff"/>'
        f'<text x="{part.x:.1f}" y="{part.y:.1f}"{_anchor(part)} font-size="15" font-family="{PAPER_FACE}" '
        f"{PAPER_VOICES[part.voice]}>{escape(part.text)}</text>"
    )


def _mark_class(mark: Mark) -> str:
    return {"dot": "dot", "diamond": "dot", "hollow": "dot hollow", "out": "dot out"}[mark.shape]


def _shape(mark: Mark) -> str:
    """A disc is a value, a square stands beyond a limit: told apart by shape, not by colour."""
    x, y = f"{mark.x:.1f}", f"{mark.y:.1f}"
    if mark.shape in ("dot", "hollow"):
        return f"M{x} {y}m-5 0a5 5 0 1 0 10 0a5 5 0 1 0-10 0z"
    size = 7 if mark.shape == "diamond" else 8
    return f"M{x} {y}m0-{size}l{size} {size}l-{size} {size}l-{size}-{size}z"


def _anchor(words: Words) -> str:
    return "" if words.anchor == "start" else f' text-anchor="{words.anchor}"'
