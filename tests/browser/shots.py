"""Pictures of every page and every paper, at three widths, light and dark.

python -m tests.browser.shots [--out shots] [--only word] [--quick]
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

LOOKS = ("light", "dark")
PAPER_SCALE = 1.6  # Of 72 dots an inch: wide enough to read a paper on a screen.


def main() -> int:
    parser = argparse.ArgumentParser(description="Save a picture of every page and every paper.")
    parser.add_argument("--out", type=Path, default=Path("shots"), help="where the pictures go")
    parser.add_argument("--only", default="", metavar="WORD", help="pages whose name has this word in it")
    parser.add_argument("--quick", action="store_true", help="the stories only, not three years of jobs")
    asked = parser.parse_args()
    chromium = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if not chromium:
        print("There is no Chromium. Install it, or name one in CHROMIUM.", file=sys.stderr)
        return 1
    asked.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="holdfast-shots-") as data_dir:
        places = _open_shop(data_dir, everything=not asked.quick)
        count = _take_papers(asked) + _take_pages(chromium, places, asked)
    print(f"{count} pictures in {asked.out}/")
    return 0


def _open_shop(data_dir: str, *, everything: bool):
    """Put the demo shop on record in a database of its own, and make its papers."""
    for name in ("DATABASE_URL", "REDIS_URL", "HTTPS", "DEBUG"):
        os.environ.pop(name, None)
    os.environ |= {
        "DATA_DIR": data_dir,
        "DJANGO_SETTINGS_MODULE": "shared.settings",
        "DJANGO_ALLOW_ASYNC_UNSAFE": "1",
    }
    import django

    django.setup()
    from django.core.management import call_command

    from tests.browser import garage

    started = time.monotonic()
    print("Putting the demo shop on record", flush=True)
    call_command("migrate", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    places = garage.open_shop(everything=everything)
    garage.make_papers()
    print(f"The shop is open after {time.monotonic() - started:.0f} s", flush=True)
    return places


def _take_papers(asked) -> int:
    import pypdfium2

    from invoicing.models import IssuedDocument

    count = 0
    for document in IssuedDocument.objects.filter(made_at__isnull=False).select_related("order"):
        name = f"paper-{document.kind}-{document.order.number}-version-{document.version}"
        if asked.only not in name:
            continue
        with pypdfium2.PdfDocument(bytes(document.pdf)) as pdf:
            for number, sheet in enumerate(pdf, start=1):
                sheet.render(scale=PAPER_SCALE).to_pil().save(asked.out / f"{name}-page-{number}.png")
                count += 1
        print(f"{name}: {number} pages", flush=True)
    return count


def _take_pages(chromium: str, places, asked) -> int:
    from django.test.testcases import LiveServerThread, _StaticFilesHandler
    from playwright.sync_api import sync_playwright

    from tests.browser.pages import PAGES
    from tests.browser.people import CHROMIUM_ARGS, Windows

    chosen = [shown for shown in PAGES if asked.only in shown.name]
    server = LiveServerThread("localhost", _StaticFilesHandler)
    server.daemon = True
    server.start()
    server.is_ready.wait()
    try:
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium, args=CHROMIUM_ARGS)
            windows = Windows(browser, f"http://localhost:{server.port}")
            for number, shown in enumerate(chosen, start=1):
                started = time.monotonic()
                _take(windows, shown, places, asked.out)
                seconds = time.monotonic() - started
                print(f"{number} of {len(chosen)} {shown.name} ({seconds:.1f} s)", flush=True)
            browser.close()
        for complaint in windows.complaints:
            print(f"The console says: {complaint}", file=sys.stderr)
    finally:
        server.terminate()
        server.join()
    return len(chosen) * len(LOOKS) * 3


def _take(windows, shown, places, out: Path) -> None:
    from tests.browser.people import HEIGHTS

    page = windows.open(shown.who)
    shown.open(page, places)
    for width, height in HEIGHTS.items():
        page.set_viewport_size({"width": width, "height": height})
        for look in LOOKS:
            page.emulate_media(color_scheme=look)
            page.screenshot(path=out / f"{shown.name}-{width}-{look}.png", full_page=True)
    page.context.close()
    windows.windows.remove(page.context)


if __name__ == "__main__":
    raise SystemExit(main())
