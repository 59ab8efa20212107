from typing import Any

from django.db import migrations

from shopapi.core.money import minor_digits


def give_books_their_digits(apps: Any, schema_editor: Any) -> None:
    """Shops opened in yen or dinar began with a book of two decimal digits, which could not be saved or quoted from.

    A shop that has quotes for all that keeps its book: their amounts are written in its digits.
    """
    alias = schema_editor.connection.alias
    quoted = apps.get_model("quotes", "Quote").objects.using(alias).values("shop")
    for shop in apps.get_model("accounts", "Shop").objects.using(alias).exclude(id__in=quoted):
        digits = minor_digits(shop.currency)
        if shop.book["minor_digits"] != digits:
            shop.book["minor_digits"] = digits
            shop.save(update_fields=["book"])


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0005_ended_memberships"),
        ("quotes", "0005_later_and_found"),
    ]

    operations = [
        migrations.RunPython(give_books_their_digits, migrations.RunPython.noop, elidable=True),
    ]
