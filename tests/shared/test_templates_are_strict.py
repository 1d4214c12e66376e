"""A strict content policy holds: nothing in a template may need inline style or script."""

import re
from pathlib import Path

from django.conf import settings

TEMPLATES = sorted((Path(settings.BASE_DIR) / "templates").rglob("*.html"))
INLINE = re.compile(
    r"""\sstyle\s*=|\son[a-z]+\s*=\s*["']|<style\b|<script(?![^>]*\bsrc=)|javascript:""", re.IGNORECASE
)


def test_no_template_needs_inline_style_or_script():
    assert [str(path) for path in TEMPLATES if INLINE.search(path.read_text(encoding="utf-8"))] == []


def test_every_address_of_a_script_or_sheet_is_our_own():
    foreign = re.compile(r"""<(?:script|link|img)[^>]*(?:src|href)=["']https?:""")

    assert [str(path) for path in TEMPLATES if foreign.search(path.read_text(encoding="utf-8"))] == []
