from typing import Any

from django.db import migrations

# What is still written on an issued invoice: its state, the mark of an earlier number, its PDF.
STAY = """
CREATE FUNCTION issued_invoice_stays() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    written text[] := ARRAY['state', 'mark', 'pdf_state', 'pdf_reason', 'pdf_id', 'changed_at'];
BEGIN
    IF OLD.state = 'draft' THEN
        RETURN CASE WHEN TG_OP = 'DELETE' THEN OLD ELSE NEW END;
    END IF;
    IF TG_OP = 'UPDATE' AND to_jsonb(NEW) - written = to_jsonb(OLD) - written
        AND (NEW.state = OLD.state OR (OLD.state, NEW.state) = ('issued', 'cancelled')) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'invoice % is issued and stays as it is', OLD.number
        USING ERRCODE = 'check_violation', CONSTRAINT = 'issued_invoice_stays';
END $$;
CREATE TRIGGER issued_invoice_stays BEFORE UPDATE OR DELETE ON billing_invoice
    FOR EACH ROW EXECUTE FUNCTION issued_invoice_stays();

CREATE FUNCTION lines_of_issued_invoice_stay() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    touched uuid[] := ARRAY[]::uuid[];
BEGIN
    IF TG_OP <> 'INSERT' THEN
        touched := touched || OLD.invoice_id;
    END IF;
    IF TG_OP <> 'DELETE' THEN
        touched := touched || NEW.invoice_id;
    END IF;
    IF EXISTS (SELECT FROM billing_invoice WHERE id = ANY (touched) AND state <> 'draft') THEN
        RAISE EXCEPTION 'the lines of an issued invoice stay as they are'
            USING ERRCODE = 'check_violation', CONSTRAINT = 'lines_of_issued_invoice_stay';
    END IF;
    RETURN CASE WHEN TG_OP = 'DELETE' THEN OLD ELSE NEW END;
END $$;
CREATE TRIGGER lines_of_issued_invoice_stay BEFORE INSERT OR UPDATE OR DELETE ON billing_invoiceline
    FOR EACH ROW EXECUTE FUNCTION lines_of_issued_invoice_stay();
"""


def give_every_shop_settings(apps: Any, schema_editor: Any) -> None:
    """Every shop has billing settings, as a new one does from its opening."""
    alias = schema_editor.connection.alias
    settings = apps.get_model("billing", "BillingSettings").objects.using(alias)
    for shop in apps.get_model("accounts", "Shop").objects.using(alias).exclude(id__in=settings.values("shop")):
        settings.create(id=shop.id, shop_id=shop.id)


class Migration(migrations.Migration):
    """Issued invoices never change: the database refuses it. Every shop gets its billing settings."""

    dependencies = [("billing", "0002_invoices")]

    operations = [
        migrations.RunSQL(STAY, migrations.RunSQL.noop),
        migrations.RunPython(give_every_shop_settings, migrations.RunPython.noop, elidable=True),
    ]
