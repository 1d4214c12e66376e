from django.urls import path

from diagnostics.review import views

urlpatterns = [
    path("returns/", views.ReturnList.as_view(), name="return-list"),
    path("returns/<int:pk>/", views.return_visit, name="return"),
]
