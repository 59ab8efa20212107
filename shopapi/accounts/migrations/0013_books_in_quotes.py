from django.db import migrations


class Migration(migrations.Migration):
    """The price book of a shop is a row of its own, in quotes."""

    dependencies = [
        ("accounts", "0012_login_attempts"),
        ("quotes", "0009_books_of_shops"),
    ]

    operations = [migrations.RemoveField("Shop", "book")]
