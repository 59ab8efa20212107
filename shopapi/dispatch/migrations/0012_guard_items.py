from django.db import migrations

# The safety finding of a check-in has the id of its hand-over. One that the customer was told of stays as it is: they
# were told of the finding, and a safety item would have to be told again.
ITEMS = """
    INSERT INTO jobs_safetyitem (
        id, shop_id, created_at, changed_at, job_id, machine_id, finding_id, device, condition, protection_lost,
        interim, part_search, trials, repaired, noted_by_id
    )
    SELECT f.id, f.shop_id, f.created_at, now(), f.job_id, j.machine_id, f.id, 'guards_and_chute',
        CASE WHEN h.condition @> '[{"part": "guards", "state": "missing"}]' THEN 'missing' ELSE 'not_working' END,
        coalesce(nullif(f.consequence, ''), f.words), '', '[]', '[]', false, f.found_by_id
    FROM jobs_finding f
        JOIN dispatch_handover h ON h.shop_id = f.shop_id AND h.id = f.id
        JOIN jobs_job j ON j.shop_id = f.shop_id AND j.id = f.job_id
    WHERE f.rank = 'safety' AND j.stage IN ('intake', 'diagnosis', 'repair', 'testing')
        AND NOT EXISTS (
            SELECT FROM jobs_safetyacknowledgement a WHERE a.shop_id = f.shop_id AND a.finding_id = f.id
        )
"""


class Migration(migrations.Migration):
    """Guards that were missing or damaged at check-in are safety items, on jobs that are not ready yet."""

    dependencies = [("dispatch", "0011_language_of_customers"), ("jobs", "0007_safety_item")]

    operations = [migrations.RunSQL(ITEMS, migrations.RunSQL.noop, elidable=True)]
