"""`makemigrations` writes the operations that tie every table to its shop."""

from inspect import signature
from typing import Any
from uuid import UUID

import pytest
from django.apps import apps
from django.db import DatabaseError, connections
from django.db.migrations import CreateModel, RenameField
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.questioner import MigrationQuestioner
from django.db.migrations.state import ProjectState
from django.db.migrations.writer import MigrationWriter

from shopapi.config.autodetector import ShopAutodetector
from shopapi.core.models import SyncChange
from shopapi.core.tenancy import ShopKey, ShopTable, in_shop
from shopapi.jobs.models import Complaint
from shopapi.reminders.models import FollowUp
from tests.factories import work
from tests.factories.crews import Crew, open_crew


def written(kind: type) -> list[tuple[str, Any]]:
    """Every operation of a kind that still holds, with its app; of a model that was renamed since, none."""
    nodes = sorted(MigrationLoader(None).graph.nodes.items())
    both: Any = (ShopTable, ShopKey)
    made_by_us: list[tuple[str, Any]] = [
        (app, one) for (app, _), made in nodes for one in made.operations if isinstance(one, both)
    ]
    found = [(app, one) for app, one in made_by_us if one.model.lower() in apps.all_models[app]]
    # A later ShopTable says again all of what the table is, with the keys it has by then.
    last = {(app, one.model): place for place, (app, one) in enumerate(found) if isinstance(one, ShopTable)}
    return [
        (app, one)
        for place, (app, one) in enumerate(found)
        if place >= last.get((app, one.model), 0) and isinstance(one, kind)
    ]


def asked_for(loader: MigrationLoader, *, start: ProjectState | None = None) -> dict[str, list[Any]]:
    """The operations that `makemigrations` would write, by app."""
    state = start or loader.project_state()
    found = ShopAutodetector(state, ProjectState.from_apps(apps)).changes(graph=loader.graph)
    return {app: [one for migration in made for one in migration.operations] for app, made in found.items()}


def said(operation: Any) -> tuple[str, Any, Any]:
    """An operation's name and arguments, positional ones as keywords."""
    name, args, options = operation.deconstruct()
    bound = signature(type(operation)).bind(*args, **options)
    return name, list(bound.args), bound.kwargs


def test_no_operation_is_missing() -> None:
    assert asked_for(MigrationLoader(None)) == {}


@pytest.mark.parametrize("kind", [ShopTable, ShopKey])
def test_operations_left_out_are_written_again(kind: type) -> None:
    loader = MigrationLoader(None)
    for migration in loader.graph.nodes.values():
        migration.operations = [one for one in migration.operations if not isinstance(one, kind)]
    found = asked_for(loader)
    again = [(app, *said(one)) for app, made in found.items() for one in made]
    wanted = [(app, *said(one)) for app, one in written(kind)]
    for *_, options in wanted:
        # Known only while a field is renamed; the renames are still in these migrations.
        options.pop("was", None)
    assert sorted(again, key=str) == sorted(wanted, key=str)
    assert len(again) > 5


@pytest.mark.parametrize(
    ("model", "options"),
    [
        (FollowUp, {"synced_as": "follow_up", "append_only": True}),
        (Complaint, {"synced_as": "complaint"}),
    ],
)
def test_changed_append_only_needs_a_migration(
    monkeypatch: pytest.MonkeyPatch, model: Any, options: dict[str, Any]
) -> None:
    monkeypatch.setattr(model, "append_only", not model.append_only)
    assert [said(one) for one in asked_for(MigrationLoader(None))[model._meta.app_label]] == [
        ("ShopTable", [model.__name__], options)
    ]


def test_changed_kind_needs_a_migration(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shopapi.config.autodetector.kinds", lambda: {FollowUp: "reminder"})
    assert ("ShopTable", ["FollowUp"], {"synced_as": "reminder"}) in [
        said(one) for one in asked_for(MigrationLoader(None))["reminders"]
    ]
    assert ("ShopTable", ["Rig"], {}) in [said(one) for one in asked_for(MigrationLoader(None))["dispatch"]]


def test_first_migrations_secure_every_table_after_its_creation() -> None:
    found = asked_for(MigrationLoader(None), start=ProjectState())
    secured = [(app, one.model) for app, made in found.items() for one in made if isinstance(one, ShopTable)]
    assert sorted(secured) == sorted((app, one.model) for app, one in written(ShopTable))
    for made in found.values():
        names = [one.name for one in made if isinstance(one, CreateModel)]
        for place, one in enumerate(made):
            if isinstance(one, ShopTable):
                before = [other.name for other in made[:place] if isinstance(other, CreateModel)]
                assert one.model in before or one.model not in names


def test_a_renamed_key_keeps_its_check() -> None:
    loader = MigrationLoader(None)
    state = loader.project_state()
    RenameField("Run", "rig", "truck").state_forwards("dispatch", state)
    ShopKey("Run", "truck", was="rig").state_forwards("dispatch", state)
    # The model says "rig" again: renamed back.
    detector = ShopAutodetector(state, ProjectState.from_apps(apps), Yes())
    (migration,) = detector.changes(graph=loader.graph)["dispatch"]
    assert [said(one)[0] for one in migration.operations] == ["RenameField", "ShopKey"]
    assert said(migration.operations[-1]) == ("ShopKey", ["Run", "rig"], {"was": "truck"})
    assert "shopapi.core.tenancy.ShopKey(" in MigrationWriter(migration).as_string()


class Yes(MigrationQuestioner):
    """Answers yes to the question whether a field was renamed."""

    def ask_rename(self, *names: Any) -> bool:
        return True


@pytest.fixture
def owned(committed_db: None) -> Crew:
    return open_crew()


def carried_out(operation: Any, state: ProjectState) -> ProjectState:
    """Run one operation of reminders as the owner of the tables, the way `migrate` does."""
    after = state.clone()
    operation.state_forwards("reminders", after)
    with connections["owner"].schema_editor() as editor:
        operation.database_forwards("reminders", editor, state, after)
    return after


def test_changed_kind_reaches_the_devices(owned: Crew) -> None:
    row = work.a_follow_up(owned.owner, work.a_job(owned.owner))
    first = MigrationLoader(None).project_state()
    try:
        renamed = carried_out(ShopTable("FollowUp", synced_as="reminder", append_only=True), first)
        assert noted(owned, row) == {("follow_up", True), ("reminder", False)}
        with pytest.raises(DatabaseError, match="permission denied"), in_shop(owned.shop_id):
            FollowUp.objects.filter(id=row).update(occasion="changed")
    finally:
        carried_out(ShopTable("FollowUp", synced_as="follow_up"), renamed)
    with in_shop(owned.shop_id):
        FollowUp.objects.filter(id=row).update(occasion="changed")
    assert noted(owned, row) == {("follow_up", False), ("reminder", True)}


def noted(crew: Crew, row: UUID) -> set[tuple[str, bool]]:
    with in_shop(crew.shop_id):
        return set(SyncChange.objects.filter(row_id=row).values_list("kind", "dead"))
