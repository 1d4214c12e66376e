from csp.decorators import csp_exempt
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_POST, require_safe
from django.views.generic import ListView

from invoicing.models import MonthlyReport, ReportLetter
from invoicing.monthly.dates import month_before
from invoicing.monthly.making import MONTHLY_REPORT, SEND_REPORT
from shared import outbox
from shared.access import roles

REPORTS_A_PAGE = 24


@method_decorator(roles("owner"), name="dispatch")
class ReportList(ListView):
    """The reports that were made, newest first, and who each was sent to."""

    queryset = MonthlyReport.objects.defer("pdf").prefetch_related("letters__owner")
    template_name = "invoicing/monthly_list.html"
    paginate_by = REPORTS_A_PAGE

    def get_context_data(self, **kwargs):
        today = timezone.localdate()
        return super().get_context_data(**kwargs) | {
            "last_month": month_before(today),
            "is_made": MonthlyReport.objects.filter(month=month_before(today)).exists(),
            "wants": self.request.user.wants_report and bool(self.request.user.email),
        }


@csp_exempt()
@roles("owner")
@require_safe
def report_pdf(request, pk):
    """Hand out one report as it was made."""
    report = get_object_or_404(MonthlyReport, pk=pk)
    name = f"report-{report.month:%Y-%m}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"', "Cache-Control": "private, no-store"}
    return HttpResponse(bytes(report.pdf), content_type="application/pdf", headers=headers)


@roles("owner")
@require_POST
def report_make(request):
    """Ask for the report of the last month now, without waiting for the night."""
    now = timezone.now()
    outbox.ask(MONTHLY_REPORT, key=f"{MONTHLY_REPORT}:asked:{now:%Y-%m-%dT%H:%M}")
    messages.success(request, "The report is being made. It stands here in a minute.")
    return redirect("report-list")


@roles("owner")
@require_POST
def letter_again(request, pk):
    """Try once more to send a letter that did not go."""
    letter = get_object_or_404(ReportLetter, pk=pk)
    if letter.sent_at:
        messages.info(request, "This letter went out already.")
    else:
        now = timezone.now()
        outbox.ask(
            SEND_REPORT,
            key=f"{SEND_REPORT}:{letter.pk}:{now:%Y-%m-%dT%H:%M}",
            payload={"letter_pk": letter.pk},
        )
        messages.success(request, "The letter is asked for once more.")
    return redirect("report-list")
