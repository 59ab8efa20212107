from django.db import migrations

from shopapi.core.tenancy import ShopTable

# What PostgreSQL keeps under the table's former name.
RENAME = """
    DO $$ DECLARE found record; BEGIN
        FOR found IN SELECT conname AS name FROM pg_constraint
            WHERE conrelid = 'quotes_customerquestion'::regclass AND conname LIKE 'quotes_ownerquestion%'
        LOOP EXECUTE format('ALTER TABLE quotes_customerquestion RENAME CONSTRAINT %I TO %I',
            found.name, replace(found.name, 'ownerquestion', 'customerquestion')); END LOOP;
        FOR found IN SELECT indexname AS name FROM pg_indexes
            WHERE tablename = 'quotes_customerquestion' AND indexname LIKE 'quotes_ownerquestion%'
        LOOP EXECUTE format('ALTER INDEX %I RENAME TO %I',
            found.name, replace(found.name, 'ownerquestion', 'customerquestion')); END LOOP;
        ALTER POLICY quotes_ownerquestion_of_one_shop ON quotes_customerquestion
            RENAME TO quotes_customerquestion_of_one_shop;
    END $$
"""


class Migration(migrations.Migration):
    """A question of a customer is called so; devices drop its rows under the old kind and get them under the new one."""

    dependencies = [("quotes", "0009_books_of_shops")]

    operations = [
        migrations.RenameModel("OwnerQuestion", "CustomerQuestion"),
        migrations.RunSQL(RENAME, elidable=False),
        ShopTable("CustomerQuestion", synced_as="customer_question"),
    ]
