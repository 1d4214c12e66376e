from django.urls import path

from diagnostics.bench_sums import views

urlpatterns = [
    path("sums/", views.sums, name="sums"),
    path("sums/<str:name>/", views.one_sum, name="sum"),
]
