from django.urls import path

from shop.desk import photos, views

urlpatterns = [
    path("signin/", views.sign_in, name="signin"),
    path("signout/", views.sign_out, name="signout"),
    path("find/", views.find, name="find"),
    path("orders/new/", views.open_job, name="order-new"),
    path("orders/<int:pk>/complaints/new/", views.add_complaint, name="complaint-new"),
    path("photos/<int:pk>/", photos.photo, name="photo"),
    path("photos/<int:pk>/small/", photos.photo_small, name="photo-small"),
    path("vehicles/", views.VehicleList.as_view(), name="vehicle-list"),
    path("vehicles/number/", views.number_said, name="number-said"),
    path("vehicles/<int:pk>/", views.vehicle_page, name="vehicle"),
    path("vehicles/<int:pk>/edit/", views.vehicle_edit, name="vehicle-edit"),
    path("customers/", views.CustomerList.as_view(), name="customer-list"),
    path("customers/<int:pk>/", views.customer_page, name="customer"),
    path("customers/<int:pk>/edit/", views.customer_edit, name="customer-edit"),
]
