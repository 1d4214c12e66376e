"""Every page of the site in the states worth looking at, for the checks and for the shots."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page

from diagnostics.calls.due import calls_due
from diagnostics.models import ProtocolAim, Scan
from tests.browser.garage import REPORTS, SEARCHES, Places

Path = str | Callable[[Places], str]


@dataclass(frozen=True)
class Shown:
    """One page in one state: what it is called, who looks at it, where it is, what is done to it first.

    A `rare` one differs little from another on the list; the quick suite leaves it to the slow one.
    """

    name: str
    who: str
    path: Path
    first: Callable[[Page], None] | None = None
    status: int = 200
    rare: bool = False

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


def just_now(places: Places) -> str:
    """The audit of a period whose jobs are all too young to count."""
    since = timezone.localdate() - timedelta(days=30)
    return f"/audit/?since={since}"


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


def send_review(page: Page) -> None:
    with page.expect_navigation():
        page.get_by_role("button", name="Keep the review").click()


def send_cost(page: Page) -> None:
    page.get_by_label("Goodwill given").fill("twelve")
    with page.expect_navigation():
        page.get_by_role("button", name="Keep the cost").click()


def send_reading(page: Page) -> None:
    page.locator("form[data-reading] input[name$=reading]").first.fill("12,340")
    with page.expect_navigation():
        page.locator("form[data-reading] button").first.click()


def type_number(page: Page) -> None:
    page.get_by_label("VIN").fill("1m8gdm9axkpo42788")
    page.get_by_text("was meant").wait_for()


def send_slip(page: Page) -> None:
    """Type volts where millivolts were meant, so that the form asks."""
    page.locator("form[data-reading] input[name$=reading]").first.fill("12450")
    with page.expect_navigation():
        page.locator("form[data-reading] button").first.click()


def read_report(page: Page) -> None:
    page.locator("textarea[name=text]").fill(REPORTS[0] + "PO420\n01 33\nnobody knows\n")
    with page.expect_navigation():
        page.locator("button[value=read]").click()


def send_table(page: Page) -> None:
    page.locator("textarea[name=text]").fill("P0171,lean\nP9,x\n")
    send(page)


def compared(places: Places) -> str:
    """The comparison of the two scans of the job that is half measured."""
    later = places.scan("open.half_measured")
    earlier = Scan.objects.filter(order=later.order_id).order_by("pk").first()
    return f"/scans/{later.pk}/compare/?with={earlier.pk}"


def a_call(places: Places) -> str:
    """The call that is due the longest."""
    row = calls_due(places.at.date())[0]
    return f"/calls/{row['order']}/{row['about']}/{row['subject']}/"


def a_change(places: Places) -> str:
    """The newest change of a protocol that nobody has decided yet."""
    return f"/audit/learning/{ProtocolAim.objects.filter(decision='').first().pk}/"


def search(state: str, rest: str = "") -> Path:
    return lambda places: places.search(state).get_absolute_url() + rest


def circuit(title: str, rest: str = "") -> Path:
    return lambda places: f"/circuits/{places.circuit(title).pk}/{rest}"


def hub_of(title: str, rest: str = "") -> Path:
    """The second hub of a map."""

    def path(places: Places) -> str:
        hub = places.circuit(title).places.get(label="hub B")
        return f"/circuits/{hub.circuit_map_id}/place/{hub.pk}/{rest}"

    return path


def draw_circuit(page: Page) -> None:
    page.get_by_label("one hub, a unit on each leg").check()
    page.locator("textarea[name=names]").fill("roof unit @ headliner 6+4\nseat unit ?")
    page.get_by_label("Title").fill("Roof line")
    with page.expect_navigation():
        page.locator("button[value=show]").click()


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
    "test", "note", "photo", "attempt", "trial-plan", "suspect", "cause", "assumption", "event", "claim",
    "reversal", "work", "disturbed", "declined", "trials", "customer-trial", "check", "minutes", "time",
    "hand-off", "planned-return", "outside-event", "promise", "technician", "waiting", "hand-back", "capture",
)  # fmt: skip
# One template and fields that others of these forms have too.
PLAIN_FORMS = {
    "note", "suspect", "assumption", "event", "disturbed", "trials", "check", "minutes", "time",
    "planned-return", "outside-event", "promise", "technician", "waiting",
}  # fmt: skip

PAGES = [
    Shown("signin", "", "/signin/"),
    Shown("signin-refused", "", "/signin/", first=send),
    Shown("front-advisor", "maud", "/"),
    Shown("front-technician", "tobin", "/"),
    Shown("front-owner", "gwen", "/"),
    Shown("front-one-wait", "tobin", "/?waiting=technician"),
    Shown("front-nothing-waits", "maud", "/?waiting=customer&page=9"),
    Shown("find-nothing-yet", "maud", "/find/"),
    Shown("find-found", "maud", "/find/?q=QX"),
    Shown("find-nothing", "maud", "/find/?q=nothing-like-it"),
    Shown("job-new", "maud", "/orders/new/"),
    Shown("job-new-refused", "maud", "/orders/new/", first=send),
    Shown("job-new-number-told", "maud", "/orders/new/", first=type_number),
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
    Shown("similar-before-suspects", "tobin", job("open.just_in", "similar/")),
    Shown("similar", "tobin", job(FLAT, "similar/")),
    Shown("search-new", "tobin", job("open.just_in", "search/new/")),
    *[Shown(f"search-{state}", "tobin", search(state), rare=state == "begun") for state in SEARCHES],
    Shown("search-mid-advisor", "maud", search("mid"), rare=True),
    Shown("search-another-test", "tobin", search("mid", "?test=unplug_U8&routes=1")),
    Shown("search-cannot", "tobin", search("mid", "act/cannot/?test=bar_b_out")),
    Shown("search-name", "tobin", search("isolated", "act/name/")),
    Shown("bay-search", "tobin", lambda at: f"/orders/{at.search('mid').order_id}/bay/"),
    Shown("job-search", "tobin", lambda at: f"/orders/{at.search('mid').order_id}/"),
    Shown("search-stop", "tobin", search("mid", "act/stop/"), rare=True),
    Shown("bay", "tobin", job("open.half_measured", "bay/")),
    Shown("bay-nothing-left", "tobin", job("open.to_fetch", "bay/")),
    Shown("bay-handed-back", "isa", job(BUS, "bay/")),
    Shown(
        "record-reading-question",
        "tobin",
        job("open.half_measured", "record/reading/?code=rest_voltage&phase=before&complaint=c1"),
        first=send_slip,
    ),
    Shown("bay-refused", "tobin", job("open.half_measured", "bay/"), first=send_reading),
    *(
        Shown(f"record-{kind}", "tobin", job(FLAT, f"record/{kind}/"), rare=kind in PLAIN_FORMS)
        for kind in NEW_FORMS
    ),
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
    Shown("circuits", "tobin", "/circuits/"),
    Shown("circuits-none-match", "maud", "/circuits/?q=nothing-like-it"),
    Shown("circuit-new", "tobin", "/circuits/new/"),
    Shown("circuit-new-refused", "tobin", "/circuits/new/", first=send),
    Shown("circuit-new-shown", "tobin", "/circuits/new/", first=draw_circuit),
    Shown("circuit", "tobin", circuit("Body line, two hubs")),
    Shown("circuit-advisor", "maud", circuit("Body line, two hubs"), rare=True),
    Shown("circuit-half-drawn", "tobin", circuit("Half drawn")),
    Shown("circuit-retired", "gwen", circuit("Wiper feed"), rare=True),
    Shown("circuit-edit", "tobin", circuit("Body line, two hubs", "edit/")),
    Shown("circuit-copy", "tobin", circuit("Body line, two hubs", "copy/"), rare=True),
    Shown("circuit-tests", "tobin", circuit("Body line, two hubs", "tests/")),
    Shown("circuit-test", "tobin", circuit("Body line, two hubs", "tests/unplug_roof_unit/"), rare=True),
    Shown("circuit-add", "tobin", hub_of("Body line, two hubs", "add/")),
    Shown("circuit-place", "tobin", hub_of("Body line, two hubs")),
    Shown("circuit-wire-new-refused", "tobin", circuit("Body line, two hubs", "wire/new/"), first=send),
    Shown("circuit-zone-new", "tobin", circuit("Body line, two hubs", "zone/new/"), rare=True),
    Shown("sums", "tobin", "/sums/"),
    Shown("sums-none-match", "maud", "/sums/?q=nothing-like-it"),
    Shown("sum", "tobin", "/sums/fuse.draw/"),
    Shown(
        "sum-answered",
        "tobin",
        "/sums/battery.cranking_verdict/?volts=9900+mV&celsius=&fahrenheit=50",
    ),
    Shown("sum-refused", "gwen", "/sums/wire.gauge_needed/?amps=20&metres=x&drop_volts=-1"),
    Shown("protocols", "tobin", "/protocols/"),
    Shown("protocol", "tobin", lambda at: f"/protocols/{at.protocol.pk}/"),
    Shown("protocol-edit", "gwen", lambda at: f"/protocols/{at.protocol.pk}/edit/"),
    Shown("protocol-edit-refused", "gwen", lambda at: f"/protocols/{at.protocol.pk}/edit/", first=send),
    Shown("instruments", "tobin", "/instruments/"),
    Shown("instrument", "tobin", lambda at: f"/instruments/{at.instrument.pk}/"),
    Shown("instrument-edit", "tobin", lambda at: f"/instruments/{at.instrument.pk}/edit/"),
    Shown("instrument-new-refused", "tobin", "/instruments/new/", first=send),
    Shown("instruments-due", "tobin", "/instruments/due/"),
    Shown(
        "range-new-refused", "tobin", lambda at: f"/instruments/{at.instrument.pk}/ranges/new/", first=send
    ),
    Shown("range-edit", "tobin", lambda at: f"/instruments/{at.instrument.pk}/ranges/{at.range.pk}/"),
    Shown("calibration-new", "tobin", lambda at: f"/instruments/{at.instrument.pk}/calibrations/new/"),
    Shown(
        "calibration-new-refused",
        "tobin",
        lambda at: f"/instruments/{at.instrument.pk}/calibrations/new/",
        first=send,
    ),
    Shown("look-back", "tobin", lambda at: f"/calibrations/{at.calibration.pk}/readings/"),
    Shown(
        "look-back-verdicts", "gwen", lambda at: f"/calibrations/{at.calibration.pk}/readings/?change=verdict"
    ),
    Shown("scan-new", "tobin", job("open.half_measured", "scans/new/")),
    Shown("scan-new-refused", "tobin", job("open.half_measured", "scans/new/"), first=send),
    Shown("scan-read", "tobin", job("open.half_measured", "scans/new/"), first=read_report),
    Shown("scan", "tobin", lambda at: at.scan("open.half_measured").get_absolute_url()),
    Shown("scan-compared", "maud", compared),
    Shown("codes", "tobin", "/codes/"),
    Shown("codes-none-match", "tobin", "/codes/?code=nothing-like-it"),
    Shown("codes-import", "tobin", "/codes/import/"),
    Shown("codes-import-refused", "tobin", "/codes/import/", first=send_table),
    Shown("returns", "maud", "/returns/"),
    Shown("returns-owner", "gwen", "/returns/"),
    Shown("returns-none-match", "gwen", "/returns/?q=nothing-like-it"),
    Shown("return", "tobin", lambda at: at.return_visit(FLAT).get_absolute_url()),
    Shown("return-owner", "gwen", lambda at: at.return_visit("warm_air.return").get_absolute_url()),
    Shown("return-refused", "gwen", lambda at: at.return_visit(FLAT).get_absolute_url(), first=send_review),
    Shown("return-looked-at", "gwen", lambda at: at.return_visit("charge_cable.return").get_absolute_url()),
    Shown(
        "return-to-code-apart", "tobin", lambda at: at.return_visit("wet_misfire.return").get_absolute_url()
    ),
    Shown(
        "cost-refused",
        "gwen",
        lambda at: at.return_visit(FLAT).get_absolute_url(),
        first=send_cost,
        rare=True,
    ),
    Shown("reviews", "gwen", "/audit/reviews/"),
    Shown("reviews-decided", "gwen", "/audit/reviews/?show=decided", rare=True),
    Shown("reviews-none-match", "gwen", "/audit/reviews/?group=C", rare=True),
    Shown("reviews-to-code-apart", "tobin", "/audit/reviews/"),
    Shown("costs", "gwen", "/audit/costs/?since=2020-01-01"),
    Shown("costs-of-no-return", "gwen", "/audit/costs/?system=lighting", rare=True),
    Shown("costs-behind", "gwen", "/audit/costs/returns/?since=2020-01-01&unknown=goodwill"),
    Shown("agreement-too-few", "gwen", "/audit/agreement/"),
    Shown("audit-settings", "gwen", "/audit/settings/"),
    Shown("report-list", "gwen", "/audit/reports/"),
    Shown("calls", "maud", "/calls/"),
    Shown("call", "maud", a_call),
    Shown("call-refused", "maud", a_call, first=send),
    Shown("learning", "gwen", "/audit/learning/"),
    Shown("learning-proposals", "gwen", "/audit/learning/proposals/"),
    Shown("learning-change", "gwen", a_change),
    Shown("learning-change-refused", "gwen", a_change, first=send, rare=True),
    Shown("audit", "gwen", "/audit/"),
    Shown("audit-of-a-system", "gwen", "/audit/?system=battery", rare=True),
    Shown("audit-few", "gwen", "/audit/?system=charging", rare=True),
    Shown("audit-nothing-ripe", "gwen", just_now, rare=True),
    Shown("audit-period-reversed", "gwen", "/audit/?since=2026-01-01&until=2025-01-01", rare=True),
    Shown("audit-rates", "gwen", "/audit/rates/"),
    Shown("audit-rates-by-month", "gwen", "/audit/rates/?by=month", rare=True),
    Shown("audit-rates-none-match", "gwen", "/audit/rates/?q=nothing-like-it", rare=True),
    Shown("audit-people", "gwen", "/audit/people/"),
    Shown("audit-mine", "tobin", "/audit/mine/"),
    Shown("audit-my-jobs", "tobin", "/audit/mine/jobs/?back=yes", rare=True),
    Shown("audit-jobs", "gwen", "/audit/jobs/?by=system&key=battery&back=yes"),
    Shown("audit-jobs-none", "gwen", "/audit/jobs/?by=system&key=nothing", rare=True),
    Shown("audit-steps", "gwen", "/audit/steps/"),
    Shown("audit-steps-long", "gwen", "/audit/steps/?since=2020-01-01", rare=True),
    Shown("audit-steps-none", "gwen", "/audit/steps/?since=2026-11-20", rare=True),
    Shown("audit-step", "gwen", "/audit/steps/stored_codes/before/?since=2020-01-01"),
    Shown("audit-gap", "gwen", "/audit/steps/R19/gap/", rare=True),
    Shown("audit-step-none", "gwen", "/audit/steps/nothing_like_it/before/", rare=True),
    Shown("audit-signals", "gwen", "/audit/signals/?since=2020-01-01"),
    Shown("audit-signals-none", "gwen", "/audit/signals/?since=2026-11-28&system=restraint", rare=True),
    Shown("audit-recount", "gwen", "/audit/recount/"),
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


def each(pages: Iterable[Shown]) -> pytest.MarkDecorator:
    """A test of each of these pages, the rare ones in the slow suite."""
    cases = [pytest.param(page, id=page.name, marks=[pytest.mark.slow] * page.rare) for page in pages]
    return pytest.mark.parametrize("shown", cases)
