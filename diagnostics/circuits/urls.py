from django.urls import path

from diagnostics.circuits import editing, views

urlpatterns = [
    path("circuits/", views.CircuitList.as_view(), name="circuit-list"),
    path("circuits/new/", views.circuit_new, name="circuit-new"),
    path("circuits/<int:pk>/", views.circuit, name="circuit"),
    path("circuits/<int:pk>/edit/", views.circuit_edit, name="circuit-edit"),
    path("circuits/<int:pk>/copy/", views.circuit_copy, name="circuit-copy"),
    path("circuits/<int:pk>/state/", views.circuit_state, name="circuit-state"),
    path("circuits/<int:pk>/tests/", views.circuit_tests, name="circuit-tests"),
    path("circuits/<int:pk>/tests/<str:key>/", editing.map_test, name="circuit-test"),
    path("circuits/<int:pk>/learn/", editing.learn, name="circuit-learn"),
    path("circuits/<int:pk>/place/<int:place_pk>/add/", editing.add_here, name="circuit-add"),
    path("circuits/<int:pk>/place/<int:place_pk>/fitted/", editing.fitted, name="circuit-fitted"),
    path("circuits/<int:pk>/place/<int:place_pk>/photos/", editing.photos_new, name="circuit-photos"),
    path("circuits/<int:pk>/<str:kind>/new/", editing.part, name="circuit-part-new"),
    path("circuits/<int:pk>/<str:kind>/<int:part_pk>/", editing.part, name="circuit-part"),
    path("circuits/photos/<int:pk>/", editing.map_photo, name="map-photo"),
    path("circuits/photos/<int:pk>/small/", editing.map_photo_small, name="map-photo-small"),
    path("circuits/photos/<int:pk>/remove/", editing.map_photo_remove, name="map-photo-remove"),
]
