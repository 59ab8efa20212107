"""Background tasks of accounts: mails to people who sign in."""

from uuid import UUID

from celery import shared_task

from shopapi.accounts.rules.mailed_links import MailText
from shopapi.accounts.services import mailed_links
from shopapi.core.background import claimed, pending_args


@shared_task(name="accounts.send_mail", soft_time_limit=90, time_limit=120, ignore_result=True)
def send_mail(shop_id: str, outbox_id: str) -> None:
    """Send one mail, outside of any transaction; if the worker dies in between, the same mail is sent twice.

    When the mail server does not take it, the task fails and the sweep starts it again.
    """
    args = pending_args(shop_id, outbox_id)
    if args is None:
        return
    mailed_links.send_mail(link_id=UUID(args["link_id"]), text=MailText(args["text"]))
    with claimed(shop_id, outbox_id, counted=True):
        pass
