from django.urls import path

from diagnostics.shop_settings import views

urlpatterns = [path("audit/settings/", views.settings_page, name="audit-settings")]
