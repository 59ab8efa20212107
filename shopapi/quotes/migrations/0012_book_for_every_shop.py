from typing import Any

from django.db import migrations

from shopapi.quotes.rules.starting_prices import starting_prices


def give_every_shop_a_book(apps: Any, schema_editor: Any) -> None:
    """A shop whose book was empty got no row in 0009, so its phones had no prices to quote from or to edit."""
    alias = schema_editor.connection.alias
    books = apps.get_model("quotes", "PriceBook").objects.using(alias)
    shops = apps.get_model("accounts", "Shop").objects.using(alias)
    for shop in shops.exclude(id__in=books.values("shop")):
        books.create(id=shop.id, shop_id=shop.id, prices=starting_prices(shop.currency))


class Migration(migrations.Migration):
    """Every shop has a price book, as a new one does from its opening."""

    dependencies = [("quotes", "0011_decided_quotes_stand")]

    operations = [migrations.RunPython(give_every_shop_a_book, migrations.RunPython.noop, elidable=True)]
