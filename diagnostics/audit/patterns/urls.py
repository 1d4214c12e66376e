from django.urls import path

from diagnostics.audit.patterns import views

urlpatterns = [
    path("audit/steps/", views.steps_page, name="audit-steps"),
    # A code may hold a slash.
    path("audit/steps/<path:code>/<str:phase>/", views.step_page, name="audit-step"),
    path("audit/signals/", views.signals_page, name="audit-signals"),
]
