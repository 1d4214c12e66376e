from django.urls import path

from diagnostics.audit.pages import views

urlpatterns = [
    path("audit/", views.overview_page, name="audit"),
]
