from django.db import migrations

RENAME = """
    UPDATE core_issue SET name = 'repair_rig' WHERE name = 'mend_rig';
    UPDATE core_issue SET name = 'answer_customer_question' WHERE name = 'answer_owner_question';
    UPDATE core_issue SET ours = jsonb_set(ours, '{stage}', '"testing"')
        WHERE name = 'move_job' AND ours ->> 'stage' = 'proving';
    UPDATE core_issue SET
        ours = replace(replace(ours::text, '"owner_asked"', '"customer_asked"'), '{owner}', '{customer}')::jsonb
        WHERE name = 'put_notice_template' AND ours ->> 'key' = 'owner_asked';
    UPDATE core_issue SET ours = replace(ours::text, '"ask_owner"', '"ask_customer"')::jsonb,
        theirs = replace(theirs::text, '"ask_owner"', '"ask_customer"')::jsonb
        WHERE name = 'edit_shop';
    UPDATE core_auditevent SET event = 'rig repaired' WHERE event = 'rig mended';
    UPDATE core_auditevent SET event = 'customer asked back' WHERE event = 'owner asked back';
    UPDATE core_auditevent SET event = 'customer question answered' WHERE event = 'owner question answered';
"""


class Migration(migrations.Migration):
    """What people are shown of commands has their new names. The log stays as sent: a repetition is known by its digest."""

    dependencies = [
        ("accounts", "0014_ask_customer"),
        ("dispatch", "0008_choices"),
        ("jobs", "0004_testing"),
        ("notices", "0004_customer_asked"),
        ("quotes", "0010_customer_question"),
        ("sync", "0004_no_first_passwords"),
    ]

    operations = [migrations.RunSQL(RENAME, migrations.RunSQL.noop, elidable=True)]
