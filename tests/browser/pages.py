"""Every page of the site in the states worth looking at, for the checks and for the shots."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from playwright.sync_api import Page

from tests.browser.garage import Places

Path = str | Callable[[Places], str]


@dataclass(frozen=True)
class Shown:
    """One page in one state: what it is called, who looks at it, where it is, what is done to it first."""

    name: str
    who: str
    path: Path
    first: Callable[[Page], None] | None = None
    status: int = 200

    def address(self, places: Places) -> str:
        return self.path if isinstance(self.path, str) else self.path(places)

    def open(self, page: Page, places: Places) -> None:
        """Open the page and bring it into its state."""
        answer = page.goto(self.address(places))
        assert answer.status == self.status, f"{self.name}: {answer.url} answered {answer.status}"
        if self.first:
            self.first(page)


def job(story: str, rest: str = "") -> Path:
    return lambda places: f"/orders/{places.order(story).pk}/{rest}"


def row_form(story: str, kind: str, rows: str, **which) -> Path:
    """A form of a job that changes one of its records; `rows` names the relation."""

    def path(places: Places) -> str:
        order = places.order(story)
        holder = order if hasattr(order, rows) else order.complaint_set.get()
        found = getattr(holder, rows)
        return f"/orders/{order.pk}/record/{kind}/{found.filter(**which).first().pk}/"

    return path


def send(page: Page) -> None:
    """Send the form of the page as it stands."""
    with page.expect_navigation():
        page.locator("main form[method=post] button:not([type=button])").last.click()


def send_reading(page: Page) -> None:
    page.locator("form[data-reading] input[name$=reading]").first.fill("12,340")
    with page.expect_navigation():
        page.locator("form[data-reading] button").first.click()


def signal(title: str) -> Path:
    return lambda places: f"/captures/{places.capture(title).pk}/"


def pair(places: Places) -> str:
    one, two = places.capture("Wake line, module plugged in"), places.capture("Wake line, module unplugged")
    return f"/captures/{one.pk}/against/{two.pk}/"


def drawn(page: Page) -> None:
    """Wait until the page has drawn its signal."""
    page.locator(".signal[data-ready]").wait_for()


FLAT, FLAT_BEFORE, BUS = "battery_draw.return", "battery_draw.first", "bus_resistor.only"
NEW_FORMS = (
    "test", "note", "attempt", "trial-plan", "suspect", "cause", "assumption", "event", "claim", "reversal",
    "work", "disturbed", "declined", "trials", "check", "minutes", "time", "hand-off", "planned-return",
    "outside-event", "promise", "technician", "waiting", "hand-back", "capture",
)  # fmt: skip

PAGES = [
    Shown("signin", "", "/signin/"),
    Shown("signin-refused", "", "/signin/", first=send),
    Shown("front-advisor", "maud", "/"),
    Shown("front-technician", "tobin", "/"),
    Shown("front-owner", "gwen", "/"),
    Shown("find-nothing-yet", "maud", "/find/"),
    Shown("find-found", "maud", "/find/?q=QX"),
    Shown("find-nothing", "maud", "/find/?q=nothing-like-it"),
    Shown("job-new", "maud", "/orders/new/"),
    Shown("job-new-refused", "maud", "/orders/new/", first=send),
    Shown("job-new-known-vehicle", "maud", lambda at: f"/orders/new/?vehicle={at.order(FLAT).vehicle_id}"),
    Shown("complaint-new", "maud", job(FLAT, "complaints/new/")),
    Shown("complaint-new-refused", "maud", job(FLAT, "complaints/new/"), first=send),
    Shown("jobs", "maud", "/orders/"),
    Shown("jobs-open", "maud", "/orders/?state=open"),
    Shown("jobs-none-match", "maud", "/orders/?q=nothing-like-it"),
    Shown("job-came-back", "tobin", job(FLAT)),
    Shown("job-came-back-advisor", "maud", job(FLAT)),
    Shown("job-handed-back-with-gaps", "gwen", job(FLAT_BEFORE)),
    Shown("job-proved", "isa", job(BUS)),
    Shown("job-just-in", "maud", job("open.just_in")),
    Shown("job-half-measured", "tobin", job("open.half_measured")),
    Shown("bay", "tobin", job("open.half_measured", "bay/")),
    Shown("bay-nothing-left", "tobin", job("open.to_fetch", "bay/")),
    Shown("bay-handed-back", "isa", job(BUS, "bay/")),
    Shown("bay-refused", "tobin", job("open.half_measured", "bay/"), first=send_reading),
    *(Shown(f"record-{kind}", "tobin", job(FLAT, f"record/{kind}/")) for kind in NEW_FORMS),
    *(
        Shown(f"record-{kind}-refused", "tobin", job("open.half_measured", f"record/{kind}/"), first=send)
        for kind in ("attempt", "cause", "work", "hand-off", "hand-back")
    ),
    Shown(
        "record-reading",
        "tobin",
        job("open.half_measured", "record/reading/?code=rest_voltage&phase=before&complaint=c1"),
    ),
    Shown("record-correction", "tobin", row_form(FLAT, "correction", "testrun_set", superseded_by=None)),
    Shown("record-disposition", "tobin", row_form(FLAT, "disposition", "testrun_set", superseded_by=None)),
    Shown("record-cause-correction", "tobin", row_form(FLAT, "cause-correction", "cause_set")),
    Shown("record-work-correction", "tobin", row_form(FLAT, "work-correction", "workitem_set")),
    Shown("record-waiver", "tobin", row_form(FLAT, "waiver", "required")),
    Shown("record-suspect-state", "tobin", row_form(FLAT, "suspect-state", "suspects")),
    Shown("record-explanation", "tobin", job(FLAT, "record/explanation/?rule=R2&subject=c1")),
    Shown("record-capture-correction", "tobin", row_form(FLAT, "capture-correction", "capture_set")),
    Shown("record-capture-aside", "tobin", row_form(FLAT, "capture-aside", "capture_set")),
    Shown("record-capture-refused", "tobin", job(FLAT, "record/capture/"), first=send),
    Shown("capture", "tobin", signal("Wake line, module plugged in"), first=drawn),
    Shown("capture-advisor", "maud", signal("Wake line, module unplugged"), first=drawn),
    Shown("capture-not-read", "tobin", signal("Not a recording")),
    Shown("capture-waiting", "tobin", signal("Just uploaded")),
    Shown("capture-against", "tobin", pair, first=drawn),
    Shown("vehicles", "maud", "/vehicles/"),
    Shown("vehicles-none-match", "maud", "/vehicles/?q=nothing-like-it"),
    Shown("vehicle", "maud", lambda at: f"/vehicles/{at.order(FLAT).vehicle_id}/"),
    Shown("vehicle-edit", "maud", lambda at: f"/vehicles/{at.order(FLAT).vehicle_id}/edit/"),
    Shown("customers", "maud", "/customers/"),
    Shown("customer", "maud", lambda at: f"/customers/{at.order(FLAT).customer_id}/"),
    Shown("customer-edit", "maud", lambda at: f"/customers/{at.order(FLAT).customer_id}/edit/"),
    Shown("tests", "tobin", "/tests/"),
    Shown("tests-of-a-system", "tobin", "/tests/?system=network"),
    Shown("test", "tobin", "/tests/fuse_drop/"),
    Shown("test-edit", "gwen", "/tests/fuse_drop/edit/"),
    Shown("protocols", "tobin", "/protocols/"),
    Shown("protocol", "tobin", lambda at: f"/protocols/{at.protocol.pk}/"),
    Shown("protocol-edit", "gwen", lambda at: f"/protocols/{at.protocol.pk}/edit/"),
    Shown("protocol-edit-refused", "gwen", lambda at: f"/protocols/{at.protocol.pk}/edit/", first=send),
    Shown("instruments", "tobin", "/instruments/"),
    Shown("instrument", "tobin", lambda at: f"/instruments/{at.instrument.pk}/"),
    Shown("instrument-edit", "tobin", lambda at: f"/instruments/{at.instrument.pk}/edit/"),
    Shown("instrument-new-refused", "tobin", "/instruments/new/", first=send),
    Shown("returns", "maud", "/returns/"),
    Shown("returns-owner", "gwen", "/returns/"),
    Shown("returns-none-match", "gwen", "/returns/?q=nothing-like-it"),
    Shown("return", "tobin", lambda at: at.return_visit(FLAT).get_absolute_url()),
    Shown("return-owner", "gwen", lambda at: at.return_visit("warm_air.return").get_absolute_url()),
    Shown("return-refused", "gwen", lambda at: at.return_visit(FLAT).get_absolute_url(), first=send),
    Shown("audit", "gwen", "/audit/"),
    Shown("audit-of-a-system", "gwen", "/audit/?system=battery"),
    Shown("paper-findings", "maud", job(FLAT, "papers/findings/")),
    Shown("paper-findings-issued", "maud", job(BUS, "papers/findings/")),
    Shown("paper-warranty", "maud", job(BUS, "papers/warranty/")),
    Shown("paper-warranty-nothing", "maud", job(FLAT, "papers/warranty/")),
    Shown("customer-link", "", lambda at: at.customer_path(BUS)),
    Shown("customer-link-came-back", "", lambda at: at.customer_path("charge_cable.return")),
    Shown("customer-link-declined", "", lambda at: at.customer_path("brake_judder.only")),
    Shown("customer-link-nothing-issued", "", lambda at: at.customer_path("open.just_in")),
    Shown("customer-link-gone", "", "/c/no-such-link/", status=404),
    Shown("not-found", "maud", "/orders/999999/", status=404),
    Shown("not-for-you", "maud", "/audit/", status=403),
]
