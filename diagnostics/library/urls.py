from django.urls import path

from diagnostics.library import register, views

urlpatterns = [
    path("tests/", views.TestKindList.as_view(), name="testkind-list"),
    path("tests/<slug:code>/", views.test_kind, name="testkind"),
    path("tests/<slug:code>/edit/", views.test_kind_edit, name="testkind-edit"),
    path("protocols/", views.ProtocolList.as_view(), name="protocol-list"),
    path("protocols/<int:pk>/", views.protocol, name="protocol"),
    path("protocols/<int:pk>/edit/", views.protocol_edit, name="protocol-edit"),
    path("instruments/", views.InstrumentList.as_view(), name="instrument-list"),
    path("instruments/new/", views.instrument_edit, name="instrument-new"),
    path("instruments/due/", register.DueList.as_view(), name="instrument-due"),
    path("instruments/<int:pk>/", views.instrument, name="instrument"),
    path("instruments/<int:pk>/edit/", views.instrument_edit, name="instrument-edit"),
    path("instruments/<int:pk>/ranges/new/", register.range_edit, name="range-new"),
    path("instruments/<int:pk>/ranges/<int:range_pk>/", register.range_edit, name="range-edit"),
    path("instruments/<int:pk>/calibrations/new/", register.calibration_new, name="calibration-new"),
    path("calibrations/<int:pk>/readings/", register.LookBackList.as_view(), name="calibration-readings"),
]
