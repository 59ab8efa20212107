"""Where everything stands. What is not the API, the admin or a file is the app's shell."""

from django.contrib import admin
from django.urls import include, path, re_path
from drf_spectacular.views import SpectacularJSONAPIView

from shopapi.config import views
from shopapi.dispatch.api.views import calendar

API = [
    path("", include("shopapi.accounts.api.urls")),
    path("", include("shopapi.files.api.urls")),
    path("", include("shopapi.notices.api.urls")),
    path("", include("shopapi.customers.api.urls")),
    path("", include("shopapi.machines.api.urls")),
    path("", include("shopapi.jobs.api.urls")),
    path("", include("shopapi.labor.api.urls")),
    path("", include("shopapi.quotes.api.urls")),
    path("", include("shopapi.dispatch.api.urls")),
    path("", include("shopapi.reminders.api.urls")),
    path("", include("shopapi.sync.api.urls")),
]

urlpatterns = [
    path("api/v1/", include(API)),
    path("api/v1/openapi.json", SpectacularJSONAPIView.as_view(), name="openapi"),
    path("api/docs", views.api_docs, name="api_docs"),
    path("ask/", include("shopapi.quotes.api.owner_urls")),
    path("calendar/<uuid:shop_id>/<str:secret>.ics", calendar, name="calendar"),
    path("admin/", admin.site.urls),
    path("livez", views.livez, name="livez"),
    path("readyz", views.readyz, name="readyz"),
    path("workz", views.workz, name="workz"),
    re_path(r"^(?!api/|ask/|admin/|static/|assets/|sw\.js)", views.shell, name="shell"),
]

handler404 = views.not_found
