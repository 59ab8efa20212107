import django.db.models.deletion
from django.db import migrations, models
from django.db.models.functions import Now

from shopapi.core.ids import uuid7
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0012_login_attempts"),
        ("quotes", "0007_choices"),
    ]

    operations = [
        migrations.CreateModel(
            name="PriceBook",
            fields=[
                ("id", models.UUIDField(default=uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=Now())),
                ("changed_at", models.DateTimeField(db_default=Now())),
                ("prices", models.JSONField()),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
            ],
        ),
        ShopTable(model="PriceBook", synced_as="price_book"),
        migrations.AddConstraint(
            model_name="pricebook",
            constraint=models.CheckConstraint(
                condition=models.Q(("id", models.F("shop"))), name="price_book_has_the_id_of_its_shop"
            ),
        ),
    ]
