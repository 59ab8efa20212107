from django.db import migrations

RENAME = """
    UPDATE accounts_shop
    SET follow_ups = follow_ups - 'ask_owner' || jsonb_build_object('ask_customer', follow_ups -> 'ask_owner')
    WHERE follow_ups ? 'ask_owner'
"""


class Migration(migrations.Migration):
    """Whether a customer is asked about a quote that went quiet is named after the customer."""

    dependencies = [("accounts", "0013_books_in_quotes")]

    operations = [migrations.RunSQL(RENAME, migrations.RunSQL.noop, elidable=True)]
