from django.db import migrations

# The placeholder is three characters longer now: a subject that would no longer fit goes without the name.
RENAME = """
    UPDATE notices_noticetemplate
    SET subject = CASE
            WHEN length(replace(subject, '{owner}', '{customer}')) > 120 THEN replace(subject, '{owner}', '')
            ELSE replace(subject, '{owner}', '{customer}')
        END,
        body = replace(body, '{owner}', '{customer}')
    WHERE key = 'owner_asked' AND position('{owner}' IN subject || body) > 0
"""


class Migration(migrations.Migration):
    """Shops' own words for a customer's question name the customer by the placeholder of every other message."""

    dependencies = [("notices", "0002_choices")]

    operations = [migrations.RunSQL(RENAME, migrations.RunSQL.noop, elidable=True)]
