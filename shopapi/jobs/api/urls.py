from django.urls import path

from shopapi.jobs.api.views import SearchView

urlpatterns = [path("search", SearchView.as_view(), name="search")]
