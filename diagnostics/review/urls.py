from django.urls import path

from diagnostics.review import return_views, views

urlpatterns = [
    path("returns/", views.ReturnList.as_view(), name="return-list"),
    path("returns/<int:pk>/", return_views.return_visit, name="return"),
    path("returns/<int:pk>/apart/", return_views.code_apart, name="return-apart"),
    path("returns/<int:pk>/look/", return_views.look, name="return-look"),
    path("returns/<int:pk>/cost/", return_views.cost, name="return-cost"),
    path("audit/", views.audit_page, name="audit"),
]
