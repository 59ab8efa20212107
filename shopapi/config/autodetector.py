"""`makemigrations` and row-level security: tables that belong to a shop get `ShopTable` and `ShopKey` by themselves.

What a table must be follows from its model (`shop_id`, `ShopForeignKey` keys, `append_only`, `shop_column`) and its
resource (the kind under which the change feed records it); what it is follows from the operations in the migrations.
Where the two differ, `makemigrations` writes the operation, and `makemigrations --check` fails.
"""

from typing import Any

from django.apps import apps
from django.db.migrations.autodetector import MigrationAutodetector, OperationDependency
from django.db.migrations.utils import resolve_relation

from shopapi.core.resources import all_resources
from shopapi.core.tenancy import Secured, ShopKey, ShopTable, keys_of, secured


def wanted(model: Any) -> Secured | None:
    """What the table of a model must be; None for a model that belongs to no shop."""
    columns = {field.column for field in model._meta.concrete_fields}
    if shop_column(model) not in columns:
        return None
    return Secured(
        synced_as=kinds().get(model),
        append_only=getattr(model, "append_only", False),
        keys=keys_of(model._meta.concrete_fields),
    )


def shop_column(model: Any) -> str:
    """The column that says whose a row is."""
    return getattr(model, "shop_column", "shop_id")


def kinds() -> dict[Any, str]:
    """The kind under which the change feed records the rows of a model."""
    return {resource.model: resource.kind for resource in all_resources() if resource.in_feed}


class ShopAutodetector(MigrationAutodetector):
    """Django's autodetector, extended by the operations that tie a table to its shop."""

    def generate_altered_db_table(self) -> None:
        """Django's last step: tables must be created before they are secured."""
        super().generate_altered_db_table()
        for app_label, model_name in sorted(self.new_model_keys):  # type: ignore[attr-defined] # the stubs lack it
            want = wanted(apps.get_model(app_label, model_name))
            if want is None:
                continue
            old_name = self.renamed_models.get((app_label, model_name), model_name)
            known = (app_label, old_name) in self.from_state.models
            before = secured(self.from_state, app_label, old_name) if known else None
            if before is None or (before.synced_as, before.append_only) != (want.synced_as, want.append_only):
                self._add_table(app_label, model_name, want)
            else:
                for field in sorted(want.keys - before.keys):
                    self._add_key(app_label, model_name, field)

    def check_dependency(self, operation: Any, dependency: Any) -> bool:
        """Also: the table is unique by shop and id, as keys within the shop need it to be."""
        if dependency.type is ShopTable:
            return isinstance(operation, ShopTable) and operation.model.lower() == dependency.model_name
        return bool(super().check_dependency(operation, dependency))

    def _add_table(self, app_label: str, model_name: str, want: Secured) -> None:
        model = apps.get_model(app_label, model_name)
        options: dict[str, Any] = {}
        if want.synced_as is not None:
            options["synced_as"] = want.synced_as
        if want.append_only:
            options["append_only"] = True
        if shop_column(model) != "shop_id":
            options["shop_column"] = shop_column(model)
        made: Any = OperationDependency(app_label, model_name, None, OperationDependency.Type.CREATE)
        needs = [need for field in sorted(want.keys) for need in self._needs(app_label, model_name, field)]
        self.add_operation(app_label, ShopTable(model.__name__, **options), dependencies=[made, *needs])

    def _add_key(self, app_label: str, model_name: str, field: str) -> None:
        was = self.renamed_fields.get((app_label, model_name, field))
        operation = ShopKey(apps.get_model(app_label, model_name).__name__, field, **({"was": was} if was else {}))
        self.add_operation(app_label, operation, dependencies=self._needs(app_label, model_name, field))

    def _needs(self, app_label: str, model_name: str, field: str) -> list[Any]:
        """The key's column, and the table that it points to. Any: the stubs want the tuples of an older Django."""
        to = self.to_state.models[app_label, model_name].fields[field].remote_field.model
        target = resolve_relation(to, app_label, model_name)
        column = OperationDependency(app_label, model_name, field, OperationDependency.Type.CREATE)
        of_ours: Any = ShopTable
        table = OperationDependency(*target, None, of_ours)
        return [column] if target == (app_label, model_name) else [column, table]
