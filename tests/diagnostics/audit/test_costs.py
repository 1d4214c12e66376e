"""What comebacks cost, the queue of reviews, agreement and the settings, on one set of records."""

import json
from datetime import date, timedelta
from decimal import Decimal
from io import StringIO

import pytest
import time_machine
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics.audit.agreement import of_pairs
from diagnostics.audit.costs import costs, returns_behind
from diagnostics.audit.scope import Scope
from diagnostics.models import TestKind
from shared.models import AuditEntry
from tests.factories import (
    LocationFactory,
    OrderFactory,
    OwnerFactory,
    ReturnCostFactory,
    ReturnReviewFactory,
    ReturnVisitFactory,
    WatchedJobFactory,
)

pytestmark = pytest.mark.django_db

TODAY = date(2026, 9, 1)
SCOPE = Scope(as_of=TODAY)
BACK = date(2026, 3, 11)


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel(TODAY, tick=False):
        yield


@pytest.fixture
def shop():
    TestKind.objects.create(code="standing_draw", name="Draw", kind="numeric", unit="A", minutes=50)
    return LocationFactory(currency="GBP", loaded_rate=Decimal("60.00"))


def a_return(shop, *, code="", cost=None, currency="GBP", days=10, **more):
    """One comeback of a watched job, coded and priced where asked for."""
    job = WatchedJobFactory(order__location=shop, back_days=days)
    order = OrderFactory(
        location=shop, vehicle=job.vehicle, opened_on=BACK, technician="Corin Hesk", returned_on=None
    )
    visit = ReturnVisitFactory(
        **{"index_order": job.order, "return_order": order, "level": "S", "in_window": "true", "days": days}
        | {"verdict": "comeback", "reason": "same_complaint", "counts": True, "symptom": "flat"}
        | more
    )
    if code:
        ReturnReviewFactory(visit=visit, primary=code, escape_point="trial", reviewer="Gwen Aldrake")
    if cost is not None:
        ReturnCostFactory(visit=visit, currency=currency, **cost)
    return visit


@pytest.fixture
def four(shop):
    """One priced whole, one in part, one in another currency, one not at all; and one that does not count."""
    whole = {"minutes": 60, "loaded_rate": Decimal(62), "parts": Decimal(40), "transport": Decimal(5)}
    whole |= {"goodwill": Decimal(10), "credit": Decimal(30)}
    a_return(shop, code="D1", cost=whole, skipped=["standing_draw"], state="confirmed", reviewed_by="G")
    a_return(shop, code="D4", cost={"minutes": 30}, skipped=["standing_draw"])
    a_return(shop, cost={"parts": Decimal(100)}, currency="EUR", skipped=["unknown_test"])
    a_return(shop, code="V3")
    a_return(shop, cost={"parts": Decimal(9)}, verdict="needs_review", reason="same_system", level="Y")


@pytest.mark.usefixtures("four")
def test_sums_by_currency_cause_and_code_with_what_is_unknown():
    found = costs(SCOPE)

    assert (found.returns, found.unpriced) == (4, 1)
    assert found.sums == (("GBP", Decimal("87.00")), ("EUR", Decimal("100.00")))
    pounds, euros = found.currencies
    assert [(part.key, part.amount, part.known) for part in pounds.total.components] == [
        ("labour", Decimal(62), 1), ("parts", Decimal(40), 1), ("transport", Decimal(5), 1),
        ("goodwill", Decimal(10), 1), ("credit", Decimal(30), 1),
    ]  # fmt: skip
    assert [(row.key, row.sum.known, row.sum.of) for row in pounds.by_group] == [("D", Decimal(87), 2)]
    assert [row.key for row in pounds.by_code] == ["D1", "D4"]
    assert [row.key for row in euros.by_group] == ["none"]
    # 50 min of the skipped step at 62.00 of its own return; the other has no cost without a rate.
    assert pounds.prevention.with_skipped == 2
    assert (pounds.prevention.returns, pounds.prevention.minutes) == (1, 50)
    assert (pounds.prevention.steps_cost, pounds.prevention.returns_cost) == (Decimal("51.67"), Decimal(87))
    assert (euros.prevention.with_skipped, euros.prevention.returns) == (1, 0)


@pytest.mark.usefixtures("four")
def test_each_sum_opens_as_many_returns_as_it_counts():
    for each in costs(SCOPE).currencies:
        rows = [(each.total.of, {"currency": each.currency})]
        rows += [(row.sum.of, row.query) for row in (*each.by_group, *each.by_code)]
        for part in each.total.components:
            rows.append((part.known, {"currency": each.currency, "known": part.key}))
            rows.append((part.unknown, {"currency": each.currency, "unknown": part.key}))
        for number, query in rows:
            assert returns_behind(SCOPE, query).count() == number, query
    assert returns_behind(SCOPE, {"priced": "no"}).count() == 1
    assert costs(Scope(as_of=BACK - timedelta(days=1))).returns == 0


def test_the_pages_show_what_is_known_in_a_constant_number_of_queries(client, shop, four):
    client.force_login(OwnerFactory(location=shop))
    pages = ["/audit/costs/?since=2026-01-01", "/audit/costs/returns/?since=2026-01-01", "/audit/reviews/"]

    def queries():
        numbers = []
        for page in pages:
            with CaptureQueriesContext(connection) as captured:
                assert client.get(page).status_code == 200
            numbers.append(len(captured))
        return numbers

    text = client.get(pages[0]).content.decode()
    few = queries()
    for _ in range(3):
        a_return(shop, code="P2", cost={"minutes": 15})

    assert queries() == few
    assert max(few) <= 25
    assert "£87.00" in text
    assert "€100.00" in text
    assert "1\u00a0return</a> of 4 has nothing written down" in text
    assert b"Nothing is written down yet." not in client.get(pages[0]).content
    assert b"No return in this period." in client.get("/audit/costs/?since=2026-08-01").content
    file = b"".join(client.get(f"{pages[0]}&format=csv").streaming_content).decode("utf-8-sig")
    assert len(file.splitlines()) == 8
    assert file.splitlines()[0].startswith("came_back,return_order,index_order,symptom,code,currency,minutes")


def test_the_queue_holds_what_waits_oldest_first_and_its_files_name_nobody(client, shop, four):
    client.force_login(OwnerFactory(location=shop, signs_as="Gwen Aldrake"))
    claimed = a_return(shop, verdict="needs_review", reason="exclusion_without_evidence:X3")
    decided = a_return(shop, state="confirmed", reviewed_by="Gwen Aldrake", review_note="He forgot it.")

    def shown(part):
        return [row.pk for row in client.get(f"/audit/reviews/?show={part}").context["rows"]]

    assert len(shown("")) == 5
    assert shown("claimed") == [claimed.pk]
    assert shown("uncoded") == [decided.pk]
    assert len(shown("apart")) == 3
    assert len(shown("decided")) == 2
    response = client.get("/audit/reviews/?show=decided&format=ndjson")
    lines = b"".join(response.streaming_content).decode()
    csv = b"".join(client.get("/audit/reviews/?show=decided&format=csv").streaming_content).decode()
    out = StringIO()
    call_command("export_reviews", "--json", stdout=out)
    assert lines == out.getvalue()
    first = json.loads(lines.splitlines()[0])
    assert first["primary"] == "D1"
    assert first["cost"]["known"] == "87.00"
    assert len(csv.splitlines()) == 3
    for text in (lines, csv):
        assert not any(word in text for word in ("Gwen", "Corin", "He forgot it.", shop.name or "Quarry"))


def test_agreement_on_group_code_and_escape_point(client, shop):
    client.force_login(OwnerFactory(location=shop))
    empty = client.get("/audit/agreement/").content.decode()
    visit = a_return(shop, code="D1")
    ReturnReviewFactory(
        visit=visit, is_second=True, primary="D4", escape_point="trial",
        compared_with={"primary": "D1", "contributing": [], "escape_point": "trial"},
    )  # fmt: skip
    few = client.get("/audit/agreement/").content.decode()
    agreed = of_pairs([(("D1", "trial"), ("D4", "trial"))] * 6 + [(("D1", "trial"), ("V3", "reading"))] * 6)

    assert "No return was coded twice." in empty
    assert "Too few to say how well they agree." in few
    assert "%" not in few.partition("<main")[2].partition("</main")[0].replace("95 %", "")
    assert not agreed.too_few
    assert [(one.key, one.agreement.agreed.count, one.agreement.agreed.of) for one in agreed.questions] == [
        ("group", 6, 12), ("code", 0, 12), ("escape", 6, 12)
    ]  # fmt: skip
    assert agreed.groups == ("D", "V")
    assert agreed.cells == ((6, 6), (0, 0))


def test_the_owner_sets_what_an_hour_costs(client, shop):
    owner = OwnerFactory(location=shop)
    client.force_login(owner)
    said = {"shop-loaded_rate": "58.5", "shop-fewest_to_compare": "9", "shop-follow_up_days": "10"}

    refused = client.post("/audit/settings/", said | {"me-wants_report": "on"}).content.decode()
    answer = client.post("/audit/settings/", said | {"shop-fewest_to_compare": "40"})

    assert "Below 10 jobs a rate says nothing." in refused
    assert "Write the address the report goes to" in refused
    assert 'value="58.5"' in refused
    assert answer.status_code == 302
    shop.refresh_from_db()
    owner.refresh_from_db()
    assert (shop.loaded_rate, shop.fewest_to_compare, owner.wants_report) == (Decimal("58.50"), 40, False)
    assert AuditEntry.objects.filter(action="change").count() == 2
