"""Background work of files. No rule lives here."""

import logging
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import every_shop, system_actor
from shopapi.core.background import claimed, in_each_shop
from shopapi.core.errors import Unavailable
from shopapi.core.feed import lock_head
from shopapi.core.tenancy import in_shop
from shopapi.files.services import cleaning, uploading

log = logging.getLogger("shopapi.files")


@shared_task(name="files.clean_picture", soft_time_limit=60, time_limit=90, ignore_result=True)
def clean_picture(shop_id: str, outbox_id: str) -> None:
    """Make one picture of the bytes that came."""
    actor = system_actor(UUID(shop_id))
    args = None
    try:
        with claimed(shop_id, outbox_id) as args:
            if args is not None:
                cleaning.clean_attachment(actor=actor, attachment_id=UUID(args["attachment_id"]))
    except Unavailable as trouble:
        if args is not None:
            with in_shop(UUID(shop_id)):
                lock_head(UUID(shop_id))
                cleaning.note_trouble(actor=actor, words=trouble.words, attachment_id=UUID(args["attachment_id"]))
        raise


@shared_task(name="files.forget_pictures", soft_time_limit=30, time_limit=60, ignore_result=True)
def forget_pictures(shop_id: str, outbox_id: str) -> None:
    """Delete what a removed attachment has left in the storage."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            cleaning.forget_pictures(args["keys"])


@shared_task(name="files.tidy_uploads", soft_time_limit=240, time_limit=300, ignore_result=True)
def tidy_uploads() -> None:
    """In each shop, forget uploads that nobody goes on with, and try again what could not be made."""
    in_each_shop(every_shop(), _tidy_uploads)


def _tidy_uploads(shop_id: UUID) -> None:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        lock_head(shop_id)
        dropped = uploading.drop_stale_uploads(actor=actor)
        cleaning_again = uploading.promise_again(actor=actor)
    if dropped or cleaning_again:
        log.info("%s stale uploads dropped, %s pictures tried again", dropped, cleaning_again)
