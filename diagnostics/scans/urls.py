from django.urls import path

from diagnostics.scans import views

urlpatterns = [
    path("orders/<int:pk>/scans/new/", views.scan_new, name="scan-new"),
    path("scans/<int:pk>/", views.scan, name="scan"),
    path("scans/<int:pk>/text/", views.scan_text, name="scan-text"),
    path("scans/<int:pk>/compare/", views.scan_compare, name="scan-compare"),
    path("scans/<int:pk>/assume/", views.scan_assume, name="scan-assume"),
    path("scans/<int:pk>/supersede/", views.scan_supersede, name="scan-supersede"),
    path("codes/", views.CodeMeaningList.as_view(), name="codemeaning-list"),
    path("codes/import/", views.meanings_import, name="codemeaning-import"),
]
