import django.db.models.deletion
from django.db import migrations

import shopapi.accounts.models
from shopapi.core.tenancy import ShopKey


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0006_sign_ins"),
        ("dispatch", "0005_hand_over_sheet"),
    ]

    operations = [
        migrations.AddField(
            model_name="calendarfeed",
            name="device",
            field=shopapi.accounts.models.ShopForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="accounts.device",
            ),
        ),
        ShopKey("CalendarFeed", "device"),
    ]
