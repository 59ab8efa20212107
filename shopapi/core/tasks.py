"""The periodic sweep of the outbox."""

from celery import shared_task

from shopapi.core import background


@shared_task(name="core.sweep_outbox", soft_time_limit=20, time_limit=30, ignore_result=True)
def sweep_outbox() -> None:
    """Resend wake-ups that the broker lost."""
    background.sweep()
