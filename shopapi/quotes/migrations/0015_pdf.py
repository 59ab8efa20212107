from django.db import migrations

from shopapi.core.tenancy import ShopKey

# What PostgreSQL keeps under the columns' former names.
RENAME_KEYS = """
    DO $$ DECLARE found record; BEGIN
        FOR found IN SELECT conname AS name FROM pg_constraint
            WHERE conrelid = 'quotes_quote'::regclass AND conname LIKE 'quotes_quote_paper%'
        LOOP EXECUTE format('ALTER TABLE quotes_quote RENAME CONSTRAINT %I TO %I',
            found.name, replace(found.name, '_paper', '_pdf')); END LOOP;
        FOR found IN SELECT indexname AS name FROM pg_indexes
            WHERE tablename = 'quotes_quote' AND indexname LIKE 'quotes_quote_paper%'
        LOOP EXECUTE format('ALTER INDEX %I RENAME TO %I',
            found.name, replace(found.name, '_paper', '_pdf')); END LOOP;
    END $$
"""


class Migration(migrations.Migration):
    """The PDF of a quote, its state and why there is none are called so."""

    dependencies = [("quotes", "0014_confirmed_prices")]

    operations = [
        migrations.RenameField("Quote", "paper", "pdf"),
        migrations.RenameField("Quote", "paper_state", "pdf_state"),
        migrations.RenameField("Quote", "paper_reason", "pdf_reason"),
        ShopKey("Quote", "pdf", was="paper"),
        migrations.RunSQL(RENAME_KEYS, elidable=False),
    ]
