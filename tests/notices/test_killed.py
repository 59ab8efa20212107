"""A worker killed while sending a mail: it is not sent again, and its state becomes unknown."""

import time
from collections.abc import Callable
from uuid import UUID

from shopapi.core.background import sweep
from shopapi.core.clock import held_at, now
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.notices.models import Notice
from shopapi.notices.rules.notice import LOST_AFTER
from shopapi.notices.services.delivery import mark_lost_unknown, requeue_failed
from tests.factories.crews import open_crew
from tests.notices.post import mail_server
from tests.notices.test_sending import post
from tests.site import LiveSite


def test_a_mail_in_hand_of_a_worker_that_is_killed_is_taken_once(live_site: LiveSite) -> None:
    crew = open_crew()
    with mail_server() as box:
        box.stall = 60
        live_site.environment |= {
            "DRAWBAR_SMTP_URL": f"smtp://127.0.0.1:{box.port}",
            "DRAWBAR_MAIL_FROM": "Bench <shop@bench.example>",
        }
        with in_shop(crew.shop_id):
            notice = post(crew.owner)
            # It may be night there; and this process knows of no mail server.
            Notice.objects.update(state="waiting", not_before=now())
            Outbox.objects.all().delete()
            promise_again_at = now() + LOST_AFTER + LOST_AFTER
        with held_at(promise_again_at), in_shop(crew.shop_id):
            assert requeue_failed(actor=crew.owner) == 1
            Outbox.objects.update(run_after=now() - LOST_AFTER * 3, attempts=0)
        live_site.start_worker()
        try:
            sweep()
            _until(lambda: len(box.taken) == 1)
            live_site.kill_worker()
            with in_shop(crew.shop_id):
                assert Notice.objects.get(id=notice.id).state == "sending"
                Outbox.objects.update(run_after=now() - LOST_AFTER, done_at=None, attempts=0)
            box.stall = 0
            live_site.start_worker()
            # Queued again, since the outbox entry is still pending.
            sweep()
            _until(lambda: not _is_pending(crew.shop_id))
        finally:
            live_site.stop_worker()
            for name in ("DRAWBAR_SMTP_URL", "DRAWBAR_MAIL_FROM"):
                del live_site.environment[name]
        assert len(box.taken) == 1
    with held_at(now() + LOST_AFTER * 2), in_shop(crew.shop_id):
        assert mark_lost_unknown(actor=crew.owner) == 1
        found = Notice.objects.get(id=notice.id)
        assert (found.state, found.tries) == ("unknown", 1)


def _is_pending(shop_id: UUID) -> bool:
    with in_shop(shop_id):
        return Outbox.objects.filter(done_at=None).exists()


def _until(done: Callable[[], bool], *, seconds: float = 30) -> None:
    ends = time.monotonic() + seconds
    while not done():
        assert time.monotonic() < ends
        time.sleep(0.1)
