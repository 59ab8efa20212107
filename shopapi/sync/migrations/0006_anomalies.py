from django.db import migrations

RENAME = """
    UPDATE sync_loggedcommand SET code = 'needs_review',
        words = replace(words, '{"code": "doubted"', '{"code": "needs_review"')
        WHERE code = 'doubted';
    UPDATE core_issue SET ours = ours - 'doubt' || jsonb_build_object('anomaly', ours -> 'doubt')
        WHERE name = 'decide_quote' AND ours ? 'doubt';
    UPDATE core_auditevent SET details = details - 'doubt' || jsonb_build_object('anomaly', details -> 'doubt')
        WHERE details ? 'doubt';
"""


class Migration(migrations.Migration):
    """What people must look at has one name; outcomes that phones store keep the code that their seal signs."""

    dependencies = [
        ("core", "0005_outbox_failed_at"),
        ("dispatch", "0009_anomaly_and_notified"),
        ("labor", "0005_anomaly"),
        ("sync", "0005_renamed_commands"),
    ]

    operations = [migrations.RunSQL(RENAME, migrations.RunSQL.noop, elidable=True)]
