from django.db import migrations

RENAME = """
    UPDATE notices_noticetemplate SET key = 'customer_asked' WHERE key = 'owner_asked';
    UPDATE notices_notice SET template = 'customer_asked' WHERE template = 'owner_asked';
"""


class Migration(migrations.Migration):
    """A customer's question has a new name as a kind of message."""

    dependencies = [("notices", "0003_question_placeholder")]

    operations = [migrations.RunSQL(RENAME, migrations.RunSQL.noop, elidable=True)]
