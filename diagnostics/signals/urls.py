from django.urls import path

from diagnostics.signals import views

urlpatterns = [
    path("captures/<int:pk>/", views.capture, name="capture"),
    path("captures/<int:pk>/state/", views.state, name="capture-state"),
    path("captures/<int:pk>/window/", views.window, name="capture-window"),
    path("captures/<int:pk>/drawing.svg", views.drawing, name="capture-drawing"),
    path("captures/<int:pk>/file/", views.file, name="capture-file"),
    path("captures/<int:pk>/against/", views.lay_against, name="capture-lay-against"),
    path("captures/<int:pk>/against/<int:other>/", views.against, name="capture-against"),
]
