"""Rules for the source: writes in services only, database errors caught in listed places, task limits, pure rules."""

import ast
import re
from collections import Counter

from celery import current_app

from tests.structure.source_tree import LADDER, ROOT, calls, keyword, trees

WRITE_VERBS = {
    "save",
    "create",
    "bulk_create",
    "bulk_update",
    "update",
    "delete",
    "get_or_create",
    "update_or_create",
    "insert_rows",
}
# A folder made, a digest fed, a set filled: no rows.
NO_ROWS = {
    # Rows of a benchmark's own shop.
    ("benchmarks/api.py", "bulk_create"),
    ("benchmarks/sync.py", "bulk_create"),
    ("benchmarks/sync.py", "update"),
    ("launch/install.py", "update"),
    ("launch/suite.py", "create"),
    ("launch/up.py", "create"),
    ("customers/rules/address_vcard.py", "update"),
    ("quotes/rules/changes.py", "update"),
}
DATABASE_ERRORS = {"IntegrityError", "DatabaseError", "OperationalError", "DataError", "ProtectedError", "Error"}
# Functions that may catch a database error: around an inner transaction or outside any.
CATCHERS = {
    "accounts/services/users.py:make_user": "around a savepoint of its own",
    "accounts/services/invitations.py:_join": "around a savepoint of its own",
    "accounts/services/mailed_links.py:confirm_address": "around a savepoint of its own",
    "accounts/services/passkeys.py:add_passkey": "around a savepoint of its own",
    "config/views.py:readyz": "the question whether the database answers, outside any transaction",
    "config/views.py:workz": "the same question",
    "config/metrics.py:_outbox": "the same question",
    "core/background.py:notify_worker": "the broker's error, not the database's",
    "core/replica.py:read_where_current": "around the whole transaction on the replica",
    "core/rows.py:remove_row": "found by Django before any SQL that would fail",
    "sync/services/execution.py:execute": "around a savepoint of its own",
    "sync/services/execution.py:execute_together": "around a savepoint of its own",
    "sync/services/push.py:push_commands": "around the whole transaction",
}
IMPURE = ("django", "rest_framework", "celery", "os", "time", "random", "secrets", "socket", "pathlib")


def test_only_services_write_rows() -> None:
    elsewhere = {
        (str(path), verb)
        for path, tree in trees()
        for verb, _ in calls(tree)
        if verb in WRITE_VERBS and path.parts[0] != "core" and "services" not in f"{path.with_suffix('')}".split("/")
    }
    assert elsewhere == NO_ROWS


def test_database_errors_are_caught_only_in_listed_places() -> None:
    found = set()
    for path, tree in trees():
        for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
            for handler in (node for node in ast.walk(function) if isinstance(node, ast.ExceptHandler)):
                caught = {node.id for node in ast.walk(handler.type or handler) if isinstance(node, ast.Name)}
                if caught & DATABASE_ERRORS:
                    found.add(f"{path}:{function.name}")
    assert found == set(CATCHERS)


def test_tasks_are_named_after_their_app_and_limited() -> None:
    tasks = [
        (path.parts[0], call)
        for path, tree in trees()
        for name, call in calls(tree)
        if name in {"shared_task", "task"} and path.name == "tasks.py"
    ]
    assert len(tasks) >= 4
    for app, call in tasks:
        name = str(keyword(call, "name"))
        assert name.startswith(f"{app}.")
        soft, hard = keyword(call, "soft_time_limit"), keyword(call, "time_limit")
        assert isinstance(soft, int), name
        assert isinstance(hard, int), name
        assert 0 < soft < hard, name
    bare = [path for path, tree in trees() for node in ast.walk(tree) if _is_bare_task(node)]
    assert bare == []


def _is_bare_task(node: ast.AST) -> bool:
    return isinstance(node, ast.FunctionDef) and any(
        isinstance(decorator, ast.Name) and decorator.id == "shared_task" for decorator in node.decorator_list
    )


def test_enqueued_task_exists_in_the_same_app_or_below() -> None:
    current_app.loader.import_default_modules()
    promised = 0
    for path, tree in trees():
        for name, call in calls(tree):
            if name != "after_commit":
                continue
            task = call.args[0]
            assert isinstance(task, ast.Constant), f"{path}: a task is promised by its name"
            assert isinstance(task.value, str), f"{path}: a task is promised by its name"
            assert task.value in current_app.tasks, f"{path}: {task.value}"
            assert LADDER.index(task.value.split(".")[0]) <= LADDER.index(path.parts[0]), f"{path}: {task.value}"
            promised += 1
    assert promised >= 1


def test_rules_are_pure() -> None:
    pure = [(path, tree) for path, tree in trees() if "rules" in f"{path.with_suffix('')}".split("/")]
    assert len(pure) > 15
    for path, tree in pure:
        for node in ast.walk(tree):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            assert not [name for name in names if name.split(".")[0] in IMPURE], path
        assert not {"now", "today", "utcnow", "open", "print"} & {name for name, _ in calls(tree)}, path


def test_no_two_classes_have_the_same_name() -> None:
    """Classes inside classes (Django's Meta) are not counted; a management command has to be called Command."""
    named = Counter(
        node.name
        for path, tree in trees()
        if path.parts[:3] != ("config", "management", "commands")
        for node in tree.body
        if isinstance(node, ast.ClassDef)
    )
    assert len(named) > 500
    assert [name for name, count in named.items() if count > 1] == []


def test_every_exception_from_the_type_check_has_a_reason() -> None:
    without = {
        f"{path.relative_to(ROOT)}:{number}"
        for folder in (ROOT / "shopapi", ROOT / "tests")
        for path in folder.rglob("*.py")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if re.search(r"# type[:] ignore(?!\[[\w, -]+\] +# \w)", line.replace("`", ""))
    }
    assert without == set()


def test_every_folder_of_the_first_two_levels_has_a_readme() -> None:
    tops = [ROOT / name for name in ("shopapi", "pwa", "tests", "fixtures")]
    folders = [*tops, *(folder for top in tops for folder in top.iterdir() if folder.is_dir())]
    # Vite serves `public` as it is; the others are not part of the source.
    without_one = {"public", "dist", "node_modules", "__pycache__"}
    bare = [folder for folder in folders if folder.name not in without_one and not (folder / "README.md").is_file()]
    assert bare == []
