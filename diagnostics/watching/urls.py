from django.urls import path

from diagnostics.watching import views

urlpatterns = [path("audit/recount/", views.recount_page, name="audit-recount")]
