"""Background work of files. No rule lives here."""

import logging
from datetime import datetime
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import shop_of, system_actor
from shopapi.core.background import claimed
from shopapi.core.clock import now, tomorrow_at
from shopapi.core.errors import Unavailable, pack
from shopapi.core.feed import lock_shop
from shopapi.core.sweeps import in_shops_due
from shopapi.core.tenancy import in_shop
from shopapi.files import queries
from shopapi.files.services import picture_processing, uploads

log = logging.getLogger("shopapi.files")


@shared_task(name="files.clean_picture", soft_time_limit=60, time_limit=90, ignore_result=True)
def clean_picture(shop_id: str, outbox_id: str) -> None:
    """Process one uploaded picture or voice note."""
    actor = system_actor(UUID(shop_id))
    args = None
    try:
        with claimed(shop_id, outbox_id) as args:
            if args is not None:
                picture_processing.process_picture(actor=actor, attachment_id=UUID(args["attachment_id"]))
    except Unavailable as trouble:
        if args is not None:
            with in_shop(UUID(shop_id)):
                lock_shop(UUID(shop_id))
                picture_processing.note_processing_problem(
                    actor=actor, words=pack(trouble.reason), attachment_id=UUID(args["attachment_id"])
                )
        raise


@shared_task(name="files.forget_pictures", soft_time_limit=30, time_limit=60, ignore_result=True)
def forget_pictures(shop_id: str, outbox_id: str) -> None:
    """Delete what is stored of a removed attachment."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            picture_processing.delete_pictures(args["keys"])


@shared_task(name="files.tidy_uploads", soft_time_limit=240, time_limit=300, ignore_result=True)
def tidy_uploads() -> None:
    """In each shop with unfinished files, delete expired uploads and retry failed processing."""
    in_shops_due("files.tidy_uploads", _tidy_uploads, kinds=("attachment",))


def _tidy_uploads(shop_id: UUID) -> datetime:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        lock_shop(shop_id)
        dropped = uploads.drop_stale_uploads(actor=actor)
        requeued = uploads.requeue_failed_pictures(actor=actor)
        unfinished = queries.has_unfinished_files(actor)
        tomorrow = tomorrow_at(shop_of(actor).zone)
    if dropped or requeued:
        log.info("%s stale uploads dropped, %s pictures tried again", dropped, requeued)
    return now() if unfinished else tomorrow
