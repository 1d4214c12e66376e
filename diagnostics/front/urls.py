from django.urls import path

from diagnostics.front.views import front

urlpatterns = [path("", front, name="front")]
