"""Periodic tasks: their names and intervals, the queue they wait in, and when a waiting one expires."""

from datetime import timedelta
from typing import Any

from kombu import Queue

# A worker empties the first queue before it reads the next one. Work that somebody waits for (PDFs, messages) is in the
# first, which has Celery's own name, so that processes of an earlier build share it.
WORK = "celery"
TICKS = "ticks"
QUEUES = (Queue(WORK), Queue(TICKS))

# The clocks of two machines may differ by a few seconds, so that a shorter life could expire every entry.
SHORTEST_LIFE = timedelta(seconds=20)

INTERVALS = {
    "dispatch.learn_from_days": timedelta(minutes=15),
    "dispatch.give_up_plans": timedelta(minutes=1),
    "files.tidy_uploads": timedelta(hours=1),
    "core.sweep_outbox": timedelta(seconds=3),
    "reminders.sweep_follow_ups": timedelta(minutes=10),
    "notices.tidy_notices": timedelta(minutes=1),
    "quotes.mark_overdue_pdfs_failed": timedelta(minutes=1),
    "billing.mark_overdue_pdfs_failed": timedelta(minutes=1),
    "labor.rebuild_histories": timedelta(minutes=10),
    "sync.process_waiting_commands": timedelta(minutes=1),
    "quotes.lapse_quotes": timedelta(minutes=10),
    "webhooks.collect_changes": timedelta(seconds=3),
    "webhooks.tidy": timedelta(minutes=1),
    "sync.drop_old_rows": timedelta(days=1),
}


def schedule() -> dict[str, dict[str, Any]]:
    """Beat's schedule, by task name. An entry that waited for its own interval expires: the next one does its work."""
    return {
        task: {
            "task": task,
            "schedule": interval,
            "options": {"queue": TICKS, "expires": max(interval, SHORTEST_LIFE).total_seconds()},
        }
        for task, interval in INTERVALS.items()
    }
