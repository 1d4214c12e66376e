from django.urls import path

from diagnostics.searching import views

urlpatterns = [
    path("orders/<int:pk>/search/new/", views.search_new, name="search-new"),
    path("orders/<int:pk>/search/<int:n>/", views.search, name="search"),
    path("orders/<int:pk>/search/<int:n>/problem/", views.problem, name="search-problem"),
    path("orders/<int:pk>/search/<int:n>/card/", views.card, name="search-card"),
    path("orders/<int:pk>/search/<int:n>/act/<slug:kind>/", views.act, name="search-act"),
]
