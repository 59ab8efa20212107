"""Read-only pages of Django's admin for the shop owner. Changes go through services."""

from collections.abc import Callable

from django.contrib import admin
from django.db import models
from django.forms import Media
from django.http import HttpRequest

from shopapi.core.rendering import show_stored
from shopapi.core.resources import Resource

# Of a resource that names no columns.
MOST_COLUMNS = 6


class ReadOnlyModelAdmin(admin.ModelAdmin):  # type: ignore[type-arg] # the stubs are generic, Django at run time is not
    """Rows of one kind, read-only.

    Row-level security limits them to the owner's shop.
    """

    ordering = ("-id",)
    list_per_page = 50
    # Django counts every row twice otherwise, once without the search.
    show_full_result_count = False
    actions = None

    @property
    def media(self) -> Media:
        """None: Django's scripts serve forms and actions, and jQuery writes HTML, which the content policy refuses."""
        return Media()

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


def admin_of(resource: Resource) -> type[ReadOnlyModelAdmin]:
    """The admin page of a resource. Rows that a column points to are read with the same query."""
    fields = {field.name: field for field in resource.model._meta.concrete_fields}
    shown = [name for name in resource.row.model_fields if name in fields.keys() - {"id", "changed_at"}]
    columns = tuple(resource.columns or shown[:MOST_COLUMNS])
    sentences = {name: _sentence_column(name) for name in columns if name in resource.reasons}
    options = {
        "list_display": tuple(sentences.get(name, name) for name in columns),
        "list_select_related": tuple(name for name in columns if fields[name].is_relation),
        "list_filter": tuple(resource.column_filters),
        "search_fields": tuple(resource.search),
        "exclude": tuple(resource.hidden),
    }
    return type(f"{resource.model.__name__}Admin", (ReadOnlyModelAdmin,), options)


def _sentence_column(name: str) -> Callable[[models.Model], str]:
    """A column that shows stored reasons as sentences."""

    @admin.display(description=name.replace("_", " "), ordering=name)
    def sentence(row: models.Model) -> str:
        return show_stored(getattr(row, name) or "")

    return sentence
