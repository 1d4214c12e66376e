"""The colours of the look against the contrast that WCAG 2.2 asks for (success criteria 1.4.3 and 1.4.11)."""

import re
from pathlib import Path

import pytest
from django.conf import settings

TOKENS = (Path(settings.BASE_DIR) / "shared/static/css/tokens.css").read_text(encoding="utf-8")
TEXT, GRAPHIC = 4.5, 3.0


def palette(start):
    block = TOKENS[TOKENS.index(start) :]
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", block[: block.index("}")]))


LIGHT = palette(":root {")
DARK = palette(':root[data-theme="dark"] {')


def luminance(colour):
    """Relative luminance, WCAG 2.2 definition (sRGB threshold 0.04045). From memory."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_black_on_white_has_the_contrast_that_the_definition_gives():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["ground", "band", "well"])
@pytest.mark.parametrize("ink", ["ink", "ink-2", "blue", "lead"])
def test_every_ink_is_readable_on_every_ground(colours, ground, ink):
    assert contrast(colours[ink], colours[ground]) >= TEXT


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["ground", "band", "well"])
def test_edges_that_carry_meaning_are_seen(colours, ground):
    assert contrast(colours["line"], colours[ground]) >= GRAPHIC


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_the_word_on_a_blue_button_is_readable(colours):
    assert contrast(colours["on-blue"], colours["blue"]) >= TEXT


def test_the_system_s_dark_and_the_chosen_dark_are_the_same():
    assert palette(':root:not([data-theme="light"]) {') == DARK


def test_each_font_file_has_a_family_name_and_weight_of_its_own():
    faces = re.findall(r"@font-face \{([^}]*)\}", TOKENS)
    names = [tuple(re.findall(r"font-(?:family|weight|style): ([^;]+);", face)) for face in faces]

    assert len(names) == len(set(names)) == 9
