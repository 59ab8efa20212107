from typing import Any

from django.db import migrations


def restore_decided(apps: Any, schema_editor: Any) -> None:
    """Let decided quotes stand again that were replaced by a revision which nobody has decided."""
    quotes = apps.get_model("quotes", "Quote").objects.using(schema_editor.connection.alias)
    decided = set(
        quotes.filter(state__in=["decided", "replaced"], lines__decided__in=["accepted", "declined"])
        .values_list("id", flat=True)
        .distinct()
    )
    before = dict(quotes.exclude(replaces=None).values_list("id", "replaces_id"))
    replaced = set()
    for quote_id in decided:
        earlier = before.get(quote_id)
        while earlier is not None:
            replaced.add(earlier)
            earlier = before.get(earlier)
    quotes.filter(state="replaced", id__in=decided - replaced).update(state="decided")


class Migration(migrations.Migration):
    dependencies = [("quotes", "0010_customer_question")]

    operations = [migrations.RunPython(restore_decided, migrations.RunPython.noop, elidable=True)]
