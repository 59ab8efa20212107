"""The back room's tables: what an owner may look at when something needs explaining. Changes go through services."""

from django.contrib import admin
from django.db import models
from django.http import HttpRequest


class Table(admin.ModelAdmin):  # type: ignore[type-arg]
    """Rows of one kind to look through: nothing is added, changed or removed here.

    Which rows there are is decided by row-level security: the owner's shop and no other.
    """

    ordering = ("-id",)
    list_per_page = 50
    # Django counts every row twice otherwise, once without the search.
    show_full_result_count = False
    actions = None

    def has_module_permission(self, request: HttpRequest) -> bool:
        return self.admin_site.has_permission(request)

    def has_view_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return self.admin_site.has_permission(request)

    def has_add_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return False
