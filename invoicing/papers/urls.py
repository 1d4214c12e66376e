from django.urls import path

from invoicing.papers import public, views

urlpatterns = [
    path("orders/<int:pk>/papers/<slug:kind>/", views.paper, name="paper"),
    path("orders/<int:pk>/papers/<slug:kind>/issue/", views.paper_issue, name="paper-issue"),
    path("orders/<int:pk>/papers/<slug:kind>/link/", views.link_make, name="link-make"),
    path("documents/<int:pk>.pdf", views.document, name="document"),
    path("documents/<int:pk>/make/", views.document_make, name="document-make"),
    path("links/<int:pk>/revoke/", views.link_revoke, name="link-revoke"),
    path("c/<str:token>/", public.customer_link, name="customer-link"),
    path("c/<str:token>/<slug:kind>.pdf", public.customer_document, name="customer-document"),
]
