from django.urls import path

from diagnostics.review import agreement_views, cost_views, queue, return_views, views

urlpatterns = [
    path("returns/", views.ReturnList.as_view(), name="return-list"),
    path("returns/<int:pk>/", return_views.return_visit, name="return"),
    path("returns/<int:pk>/apart/", return_views.code_apart, name="return-apart"),
    path("returns/<int:pk>/look/", return_views.look, name="return-look"),
    path("returns/<int:pk>/cost/", return_views.cost, name="return-cost"),
    path("audit/reviews/", queue.ReviewQueue.as_view(), name="audit-reviews"),
    path("audit/agreement/", agreement_views.agreement_page, name="audit-agreement"),
    path("audit/costs/", cost_views.costs_page, name="audit-costs"),
    path("audit/costs/returns/", cost_views.CostReturns.as_view(), name="audit-costs-returns"),
]
