from typing import Any

import django.contrib.postgres.fields
from django.db import migrations, models

PARTS = ["labor_rates", "part_bands", "tax_profiles", "terms"]


def confirm_what_was_used(apps: Any, schema_editor: Any) -> None:
    """Confirm the prices of shops that have offered a quote or edited them.

    Every row is written, so that phones fetch each with the new field.
    """
    alias = schema_editor.connection.alias
    books = apps.get_model("quotes", "PriceBook").objects.using(alias)
    offered = apps.get_model("quotes", "Quote").objects.using(alias).exclude(offered_at=None).values("shop")
    events = apps.get_model("core", "AuditEvent").objects.using(alias)
    edited = events.filter(event="price_book edited").values("shop_id")
    used = models.Q(shop__in=offered) | models.Q(shop_id__in=edited)
    books.exclude(used).update(confirmed=[])
    books.filter(used).update(confirmed=PARTS)


class Migration(migrations.Migration):
    dependencies = [("core", "0005_outbox_failed_at"), ("quotes", "0013_work_and_agreed")]

    operations = [
        migrations.AddField(
            model_name="pricebook",
            name="confirmed",
            field=django.contrib.postgres.fields.ArrayField(
                base_field=models.CharField(choices=[(part, part) for part in PARTS], max_length=20),
                blank=True,
                db_default=[],
                size=None,
            ),
        ),
        migrations.RunPython(confirm_what_was_used, migrations.RunPython.noop, elidable=True),
    ]
