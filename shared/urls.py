from django.urls import include, path

urlpatterns = [
    path("", include("shop.desk.urls")),
    path("", include("diagnostics.front.urls")),
    path("", include("diagnostics.library.urls")),
]
