"""The beat of the outbox."""

from celery import shared_task

from shopapi.core import background


@shared_task(name="core.sweep_outbox", soft_time_limit=20, time_limit=30, ignore_result=True)  # type: ignore[untyped-decorator]
def sweep_outbox() -> None:
    """Send again what the broker lost."""
    background.sweep()
