"""How far two people who code the same return apart agree."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.audit.agreement import FEWEST, agreement
from diagnostics.review.codes import GROUPS
from shared.access import roles


@roles("owner")
@require_safe
def agreement_page(request):
    """Agreement on cause group, code and escape point; nobody is named."""
    found = agreement()
    rows = [
        (f"{letter}, {GROUPS[letter]}", list(zip(found.groups, cells, strict=True)))
        for letter, cells in zip(found.groups, found.cells, strict=True)
    ]
    context = {"agreed": found, "rows": rows, "groups": GROUPS, "fewest": FEWEST}
    return render(request, "diagnostics/audit/agreement.html", context)
