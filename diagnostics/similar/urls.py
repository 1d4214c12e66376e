from django.urls import path

from diagnostics.similar import views

urlpatterns = [path("orders/<int:pk>/similar/", views.similar, name="order-similar")]
