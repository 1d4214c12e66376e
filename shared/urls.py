from django.urls import include, path

from shared.styleguide import styleguide

urlpatterns = [
    path("", include("shop.desk.urls")),
    path("", include("diagnostics.front.urls")),
    path("", include("diagnostics.job.urls")),
    path("", include("diagnostics.learning.urls")),
    path("", include("diagnostics.library.urls")),
    path("", include("diagnostics.bench_sums.urls")),
    path("", include("diagnostics.circuits.urls")),
    path("", include("diagnostics.calls.urls")),
    path("", include("diagnostics.signals.urls")),
    path("", include("diagnostics.review.urls")),
    path("", include("diagnostics.audit.pages.urls")),
    path("", include("diagnostics.audit.patterns.urls")),
    path("", include("diagnostics.shop_settings.urls")),
    path("", include("diagnostics.scans.urls")),
    path("", include("diagnostics.searching.urls")),
    path("", include("invoicing.monthly.urls")),
    path("", include("diagnostics.similar.urls")),
    path("", include("diagnostics.watching.urls")),
    path("", include("invoicing.papers.urls")),
    path("styleguide/", styleguide, name="styleguide"),
]
