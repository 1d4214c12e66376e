from django.urls import path

from diagnostics.audit.pages import jobs_list, people_views, rates_views, views

urlpatterns = [
    path("audit/", views.overview_page, name="audit"),
    path("audit/rates/", rates_views.rates_page, name="audit-rates"),
    path("audit/people/", people_views.people_page, name="audit-people"),
    path("audit/mine/", people_views.mine_page, name="audit-mine"),
    path("audit/mine/jobs/", people_views.MyJobs.as_view(), name="audit-my-jobs"),
    path("audit/jobs/", jobs_list.JobsBehind.as_view(), name="audit-jobs"),
]
