from django.urls import path

from diagnostics.learning import views

urlpatterns = [
    path("audit/learning/", views.learning, name="audit-learning"),
    path("audit/learning/proposals/", views.proposed, name="learning-proposals"),
    path("audit/learning/<int:pk>/", views.one_change, name="learning-change"),
]
