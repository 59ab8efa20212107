"""The URLs. Everything besides the API, the admin and files is the app's shell."""

from django.contrib import admin
from django.urls import URLPattern, URLResolver, include, path, re_path

from shopapi.accounts.api.joining import join
from shopapi.accounts.api.views import FirstShopView
from shopapi.billing.api.bill_page import bill
from shopapi.config import views
from shopapi.config.first_part import FirstPartResolver
from shopapi.core.discovery import app_modules
from shopapi.core.resources import all_resources
from shopapi.core.rest import paths_of
from shopapi.dispatch.api.ticket_page import ticket
from shopapi.dispatch.api.views import calendar
from shopapi.quotes.services.shop import open_first_shop

API: list[URLPattern | URLResolver] = [
    *(pattern for module in app_modules("api.urls") for pattern in module.urlpatterns),
    path("shops", FirstShopView.as_view(open_shop=open_first_shop), name="first_shop"),
    *(one for resource in all_resources() for one in paths_of(resource)),
]

urlpatterns = [
    FirstPartResolver("api/v1/", API),
    path("api/v1/openapi.json", views.openapi, name="openapi"),
    path("api/docs", views.api_docs, name="api_docs"),
    path("join/<str:secret>", join, name="join"),
    path("ask/", include("shopapi.quotes.api.customer_urls")),
    path("ticket/<str:token>", ticket, name="ticket"),
    path("bill/<str:token>", bill, name="bill"),
    path("calendar/<uuid:shop_id>/<str:secret>.ics", calendar, name="calendar"),
    path("admin/", admin.site.urls),
    path("livez", views.livez, name="livez"),
    path("readyz", views.readyz, name="readyz"),
    path("workz", views.workz, name="workz"),
    path("metrics", views.metrics_page, name="metrics"),
    path("share", views.share, name="share"),
    re_path(r"^(?!api/|ask/|join/|ticket/|bill/|admin/|static/|assets/|sw\.js)", views.shell, name="shell"),
]

handler400 = views.bad_request
handler404 = views.not_found
