from typing import Any

from django.db import migrations

from shopapi.core.ids import uuid7

SAME = ("shop_id", "kind", "command_id", "entity_id", "words", "state", "choice", "member_id", "created_at")


def move_books(apps: Any, schema_editor: Any) -> None:
    """Copy each shop's book into its row; a shop without one keeps none and begins with the starting prices."""
    alias = schema_editor.connection.alias
    books = apps.get_model("quotes", "PriceBook").objects.using(alias)
    for shop in apps.get_model("accounts", "Shop").objects.using(alias).exclude(book={}):
        books.create(id=shop.id, shop_id=shop.id, prices=shop.book)


def move_conflicts(apps: Any, schema_editor: Any) -> None:
    """Turn conflicts about the field `book` of a shop into conflicts about its price book.

    One that is about other fields of the shop too becomes two. An issue keeps its id, which phones name.
    """
    issues = apps.get_model("core", "Issue").objects.using(schema_editor.connection.alias)
    for issue in issues.filter(kind="conflict", entity_kind="shop", ours__has_key="book"):
        theirs = {"prices": issue.theirs.pop("book", None)}
        ours = {"prices": issue.ours.pop("book")}
        moved = {"name": "edit_price_book", "entity_kind": "price_book", "theirs": theirs, "ours": ours}
        if issue.ours:
            issue.save(update_fields=["theirs", "ours"])
            same = {name: getattr(issue, name) for name in SAME}
            issues.create(**same, **moved, id=uuid7())
        else:
            issues.filter(id=issue.id).update(**moved)


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0005_outbox_failed_at"),
        ("quotes", "0008_price_book"),
    ]

    operations = [
        migrations.RunPython(move_books, elidable=True),
        migrations.RunPython(move_conflicts, elidable=True),
    ]
