"""What the report of a month says, as plain values that are kept with it. No names of persons stand in it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.conf import settings
from django.urls import reverse

from diagnostics.audit.asked import a_year
from diagnostics.audit.check_words import extra_text, say
from diagnostics.audit.checks import check_rows
from diagnostics.audit.compared import CheckRow
from diagnostics.audit.costs import Costs
from diagnostics.audit.curve import window_days
from diagnostics.audit.names import Names
from diagnostics.audit.pages import saying
from diagnostics.audit.pages.hurts import Hurt
from diagnostics.audit.pages.overview import Overview, overview
from diagnostics.audit.plain_values import to_plain
from diagnostics.audit.rates import Headline
from diagnostics.audit.scope import Scope
from diagnostics.calls.due import count_due
from diagnostics.learning.changes import Change, changes
from diagnostics.models import ReturnVisit
from diagnostics.review.filters import waiting_for_review
from diagnostics.statistics.proportions import Proportion
from invoicing.monthly.dates import month_after, month_name
from shared.wording import count_text, interval_text, money_text, percent_text, whole_text
from shop.models import Location, RepairOrder

MOST_STEPS = 8
NOT_A_CAUSE = (
    "A step whose absence goes with more comebacks is worth a look. It is not thereby the cause: hard jobs "
    "may be the ones where steps get skipped."
)


def compose(month: date, *, as_of: date) -> dict[str, Any]:
    """Return the report of the month that begins on `month`, counted on `as_of`."""
    scope = Scope(as_of=as_of, since=a_year(as_of, window_days(Scope(as_of=as_of))))
    found = overview(scope)
    head = found.headline
    return {
        "month": month.isoformat(),
        "as_of": as_of.isoformat(),
        "since": scope.since.isoformat() if scope.since else "",
        "shop": _shop(),
        "address": f"{settings.SITE_URL}{reverse('audit')}",
        "in_one_line": _in_one_line(head.provisional, head.fewest),
        "answers": _answers(found),
        "ways": list(_ways(head)),
        "windows": list(_windows(head)),
        "in_the_month": _in_the_month(month),
        "young": saying.young_sentence(head.too_young, head.jobs, found.curve.window_days),
        "curve": to_plain(found.curve),
        "costs": _costs(found.costs),
        "steps": list(_steps(scope)),
        "not_a_cause": NOT_A_CAUSE,
        "hurts": [{"name": _capital(hurt.name), "say": hurt.say} for hurt in found.hurts],
        "things": [{"what": thing.what, "why": thing.why} for thing in found.things],
        "changes": [_change(one) for one in changes(as_of) if one.is_open],
        "waiting": _waiting(as_of),
        "limits": _limits(found),
    }


def _shop() -> str:
    shops = list(Location.objects.order_by("name")[:2])
    if len(shops) == 1:
        return str(shops[0])
    return f"all {whole_text(Location.objects.count())} shops" if shops else "the shop"


def _in_one_line(share: Proportion | None, fewest: int) -> str:
    if share is None:
        return "No job has had its whole window yet."
    return f"{_counts(share)}{', ' + _rate(share) if share.of >= fewest else ': too few to compare'}."


def _counts(share: Proportion) -> str:
    return f"{whole_text(share.count)} of {count_text(share.of, 'job')} came back"


def _rate(share: Proportion) -> str:
    return f"{percent_text(share.share)} % ({interval_text(share.low, share.high)})"


def _answers(found: Overview) -> list[dict[str, str]]:
    head = found.headline
    doing = saying.sentence(head.provisional, head.fewest)
    if head.provisional and saying.state_of(head.provisional, head.fewest) == "rate":
        doing = f"{_counts(head.provisional)}. {doing}"
    hurts = " ".join(_hurt(hurt) for hurt in found.hurts) or "Nothing stands out from chance."
    to_do_now = " ".join(f"{thing.what}." for thing in found.things) or "Nothing waits."
    return [
        {"question": "How are we doing?", "answer": doing},
        {"question": "What hurts most?", "answer": hurts},
        {"question": "What to do?", "answer": to_do_now},
    ]


def _hurt(hurt: Hurt) -> str:
    of = f" of {whole_text(hurt.of)}" if hurt.of else ""
    return f"{_capital(hurt.name)}: {whole_text(hurt.count)}{of} came back."


def _ways(head: Headline) -> Iterable[dict[str, str]]:
    rows = (
        ("By the verdict", head.provisional),
        ("As reviewed, undetermined left out", head.reviewed_low),
        ("As reviewed, undetermined counted", head.reviewed_high),
        ("Of these, handed back with no fault found", head.no_fault_found),
    )
    for name, share in rows:
        if share:
            yield {"name": name, **_figures(share, head.fewest)}


def _windows(head: Headline) -> Iterable[dict[str, str]]:
    for window in head.windows:
        if window.share:
            name = f"Within {window.days} days" if window.days else "Within each shop's own window"
            yield {"name": name, **_figures(window.share, head.fewest)}


def _figures(share: Proportion, fewest: int) -> dict[str, str]:
    is_enough = share.of >= fewest
    return {
        "count": f"{whole_text(share.count)} of {whole_text(share.of)}",
        "rate": f"{percent_text(share.share)} %" if is_enough else "",
        "interval": interval_text(share.low, share.high) if is_enough else "too few to compare",
    }


def _in_the_month(month: date) -> str:
    """Say what happened in the month itself. The two counts are of different jobs and make no rate."""
    after = month_after(month)
    back = ReturnVisit.objects.filter(
        counts=True, verdict="comeback", return_order__opened_on__gte=month, return_order__opened_on__lt=after
    ).count()
    handed = RepairOrder.objects.filter(returned_on__gte=month, returned_on__lt=after).count()
    arrived = "one came back" if back == 1 else f"{whole_text(back) if back else 'none'} came back"
    return (
        f"In {month_name(month)} {count_text(handed, 'job')} {'was' if handed == 1 else 'were'} handed back, "
        f"and {arrived} of those handed back earlier or then. The two are different jobs and make no rate."
    )


def _costs(found: Costs) -> dict[str, Any]:
    return {
        "returns": found.returns,
        "unpriced": found.unpriced,
        "sums": [
            {
                "parts": [
                    {
                        "label": _capital(part.label),
                        "known": f"{part.known} of {part.of} known",
                        "amount": money_text(part.amount, each.currency) if part.known else "not known",
                    }
                    for part in each.total.components
                ],
                "known": money_text(each.total.known, each.currency),
                "complete": f"{each.total.complete} of {each.total.of} complete",
            }
            for each in found.currencies
        ],
    }


def _steps(scope: Scope) -> Iterable[dict[str, str]]:
    names = Names()
    skipped = [row for row in check_rows(scope).rows if row.counts.skipped]
    for row in skipped[:MOST_STEPS]:
        yield {
            "name": names.step(row.code, row.phase),
            "skipped": f"{whole_text(row.counts.skipped)} of {whole_text(row.counts.required)}",
            "done_back": _count(row.when_done),
            "skipped_back": _count(row.when_skipped),
            "say": _say(row),
        }


def _say(row: CheckRow) -> str:
    return " ".join(filter(None, [say(row), extra_text(row) if row.listed else ""]))


def _count(share: Proportion | None) -> str:
    return f"{whole_text(share.count)} of {whole_text(share.of)}" if share else "no job"


def _change(one: Change) -> dict[str, str]:
    about = one.step_name or one.symptom_name or one.system_name
    return {
        "name": _capital(about),
        "say": f"{_capital(one.verdict_words)}. {count_text(one.jobs_so_far, 'job')} so far.",
    }


def _waiting(as_of: date) -> list[str]:
    reviews = waiting_for_review(ReturnVisit.objects.all()).count()
    calls = count_due(as_of)
    return [
        f"{count_text(reviews, 'return')} to review" if reviews else "no return to review",
        f"{count_text(calls, 'customer')} to call" if calls else "no customer to call",
    ]


def _limits(found: Overview) -> list[str]:
    competing = found.curve.competing
    said = [
        saying.ONLY_HERE,
        saying.departures_sentence(found.headline.left, competing.event if competing else None),
        saying.NARROW if found.headline.is_narrow else "",
        "Intervals are at 95 %. Limits and floors are the shop's policy.",
    ]
    return [sentence for sentence in said if sentence]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
