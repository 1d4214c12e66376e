from django.urls import path

from invoicing.monthly import views

urlpatterns = [
    path("audit/reports/", views.ReportList.as_view(), name="report-list"),
    path("audit/reports/make/", views.report_make, name="report-make"),
    path("audit/reports/<int:pk>.pdf", views.report_pdf, name="report-pdf"),
    path("audit/letters/<int:pk>/again/", views.letter_again, name="letter-again"),
]
