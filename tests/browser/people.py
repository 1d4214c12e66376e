"""Persons at their screens: a browser window, signed in, of one width and look."""

from __future__ import annotations

from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page

from shop.models import StaffMember

PHONE, TABLET, SCREEN = 390, 820, 1440
HEIGHTS = {PHONE: 844, TABLET: 1180, SCREEN: 900}
CHROMIUM_ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-sync",
    "--no-first-run",
    "--font-render-hinting=none",
]
SECONDS_TO_WAIT = 10


class Windows:
    """Opens windows for people and keeps what their pages complain of."""

    def __init__(self, browser: Browser, site: str) -> None:
        self.browser, self.site = browser, site
        self.windows: list[BrowserContext] = []
        self._documents: set[str] = set()
        self._heard: list[tuple[str, str]] = []

    def open(self, username: str = "", *, width: int = SCREEN, look: str = "light", **options) -> Page:
        """Return a page of a new window; with a name, its person is signed in."""
        window = self.browser.new_context(
            base_url=self.site,
            viewport={"width": width, "height": HEIGHTS[width]},
            color_scheme=look,
            locale="en-GB",
            reduced_motion="reduce",
            **options,
        )
        window.set_default_timeout(SECONDS_TO_WAIT * 1000)
        self.windows.append(window)
        if username:
            window.add_cookies([self._session(username)])
        page = window.new_page()
        page.on("request", self._asked)
        page.on("console", self._hear)
        page.on("pageerror", lambda error: self._heard.append((page.url, str(error))))
        return page

    @property
    def complaints(self) -> list[str]:
        """What pages said in their console; that a page itself was answered with 404 or 403 is left out."""
        return [
            f"{url}: {said}"
            for url, said in self._heard
            if not (url in self._documents and said.startswith("Failed to load resource"))
        ]

    def close(self) -> None:
        for window in self.windows:
            window.close()

    def _asked(self, request) -> None:
        if request.is_navigation_request():
            self._documents.add(request.url)

    def _hear(self, message) -> None:
        if message.type in ("error", "warning"):
            self._heard.append((message.location.get("url", ""), message.text))

    def _session(self, username: str) -> dict:
        client = Client()
        client.force_login(StaffMember.objects.get(username=username))
        name = settings.SESSION_COOKIE_NAME
        return {"name": name, "value": client.cookies[name].value, "url": self.site}
