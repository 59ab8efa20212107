from django.db import migrations, models

import shopapi.jobs.rules

# Without the trigger of `changed_at`: nothing has moved on these jobs.
RENAME = """
    ALTER TABLE jobs_job DISABLE TRIGGER touch;
    UPDATE jobs_job SET stage = 'testing' WHERE stage = 'proving';
    ALTER TABLE jobs_job ENABLE TRIGGER touch;
    UPDATE core_auditevent SET details = jsonb_set(details, '{before}', '"testing"')
        WHERE event = 'job moved' AND details ->> 'before' = 'proving';
    UPDATE core_auditevent SET details = jsonb_set(details, '{after}', '"testing"')
        WHERE event = 'job moved' AND details ->> 'after' = 'proving';
"""


class Migration(migrations.Migration):
    """The stage has the name that screens give it. Commands in the log stay as they were sent: they are upgraded as read."""

    dependencies = [("core", "0005_outbox_failed_at"), ("jobs", "0003_choices")]

    operations = [
        migrations.AlterField(
            model_name="job",
            name="stage",
            field=models.CharField(
                choices=[
                    ("intake", "intake"),
                    ("diagnosis", "diagnosis"),
                    ("repair", "repair"),
                    ("testing", "testing"),
                    ("ready", "ready"),
                    ("returned", "returned"),
                    ("closed", "closed"),
                    ("cancelled", "cancelled"),
                ],
                default=shopapi.jobs.rules.Stage["INTAKE"],
                max_length=10,
            ),
        ),
        migrations.RunSQL(RENAME, migrations.RunSQL.noop, elidable=True),
    ]
