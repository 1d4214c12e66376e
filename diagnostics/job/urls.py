from django.urls import path

from diagnostics.job import views
from diagnostics.job.orders import OrderList

urlpatterns = [
    path("orders/", OrderList.as_view(), name="order-list"),
    path("orders/<int:pk>/", views.job, name="order"),
    path("orders/<int:pk>/bay/", views.bay, name="order-bay"),
    path("orders/<int:pk>/record/<slug:kind>/", views.record, name="order-record"),
    path("orders/<int:pk>/record/<slug:kind>/<int:row>/", views.record, name="order-record-row"),
]
