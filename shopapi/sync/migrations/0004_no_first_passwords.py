import json
from hashlib import sha256
from typing import Any

from django.db import migrations

NAME = "password"


def _without(value: dict[str, Any]) -> dict[str, Any]:
    return {**value, NAME: "(taken out)"}


def take_passwords_out(apps: Any, schema_editor: Any) -> None:
    """First passwords were arguments of a command once: they go from the log, from issues and from receipts.

    A digest over a password helps guessing it: it is computed again over what is left, or removed too.
    """
    using = schema_editor.connection.alias
    for logged in apps.get_model("sync", "LoggedCommand").objects.using(using).filter(args__has_key=NAME):
        logged.args = _without(logged.args)
        content = [str(logged.id), logged.no, logged.name, logged.v, logged.args]
        logged.digest = sha256(json.dumps(content, sort_keys=True, separators=(",", ":")).encode()).hexdigest()
        logged.save(using=using, update_fields=["args", "digest"])
    issues = apps.get_model("core", "Issue").objects.using(using)
    for column in ("ours", "theirs"):
        for issue in issues.filter(**{f"{column}__has_key": NAME}):
            setattr(issue, column, _without(getattr(issue, column)))
            issue.save(using=using, update_fields=[column])
    receipts = apps.get_model("core", "Receipt").objects.using(using)
    for receipt in receipts.filter(body__has_key=NAME):
        receipt.body = _without(receipt.body)
        receipt.save(using=using, update_fields=["body"])
    # Of a member who was added by REST only the answer was kept, and a digest over the request.
    receipts.filter(body__has_keys=["may_see_cost", "role"]).update(digest="")


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0009_invitations"),
        ("core", "0002_overdue"),
        ("sync", "0003_history_of_a_row"),
    ]

    operations = [migrations.RunPython(take_passwords_out, migrations.RunPython.noop, elidable=True)]
