from django.db import migrations

RENAME = """
    UPDATE core_outbox SET task = 'quotes.make_pdf' WHERE task = 'quotes.make_paper';
    UPDATE core_issue SET name = 'remake_pdf' WHERE name = 'remake_paper';
    UPDATE core_issue SET
        ours = regexp_replace(ours::text, '"paper": "(letter|a4)"', '"paper_size": "\\1"', 'g')::jsonb,
        theirs = regexp_replace(theirs::text, '"paper": "(letter|a4)"', '"paper_size": "\\1"', 'g')::jsonb
        WHERE name = 'edit_shop';
    UPDATE core_auditevent SET event = 'PDF' || substr(event, 6)
        WHERE event IN ('paper made', 'paper asked for', 'paper failed');
    -- The code of the sentence in a stored reason.
    UPDATE quotes_quote SET pdf_reason =
        regexp_replace(replace(pdf_reason, '{"code": "paper_not_kept"', '{"code": "pdf_not_stored"'), '^{"code": "paper_', '{"code": "pdf_')
        WHERE pdf_reason LIKE '{"code": "paper_%';
    UPDATE dispatch_printout SET reason =
        regexp_replace(replace(reason, '{"code": "paper_not_kept"', '{"code": "pdf_not_stored"'), '^{"code": "paper_', '{"code": "pdf_')
        WHERE reason LIKE '{"code": "paper_%';
"""


class Migration(migrations.Migration):
    """Queued work, reasons, issues and events have the names of PDFs. The log of commands stays as sent."""

    dependencies = [
        ("accounts", "0016_paper_size"),
        ("quotes", "0015_pdf"),
        ("sync", "0006_anomalies"),
    ]

    operations = [migrations.RunSQL(RENAME, migrations.RunSQL.noop, elidable=True)]
