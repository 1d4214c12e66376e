from django.urls import path

from diagnostics.calls import views

urlpatterns = [
    path("calls/", views.calls, name="calls"),
    path("calls/<int:pk>/<slug:kind>/<path:subject>/", views.call, name="call"),
]
