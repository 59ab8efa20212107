"""Signatures, retries and their end."""

from datetime import UTC, datetime, timedelta

import pytest

from shopapi.webhooks.rules.signature import headers_of, shown_secret, sign
from shopapi.webhooks.rules.webhook import FAILING_DAYS, RETRY_DELAYS, is_given_up, next_wait


def test_signature_equals_that_of_the_specification() -> None:
    """The example of the reference libraries of Standard Webhooks."""
    signed = sign(
        "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw",
        "msg_p5jXN8AQM9LWM0D4loKWxJek",
        1614265330,
        b'{"test": 2432232314}',
    )
    assert signed == "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="


def test_two_secrets_make_two_signatures() -> None:
    first, second = shown_secret(b"a" * 32), shown_secret(b"b" * 32)
    headers = headers_of((first, second), "id", 7, b"{}")
    assert headers["webhook-signature"] == f"{sign(first, 'id', 7, b'{}')} {sign(second, 'id', 7, b'{}')}"
    assert (headers["webhook-id"], headers["webhook-timestamp"]) == ("id", "7")


def test_delays_grow_and_end_after_three_days() -> None:
    waits = [next_wait(tries) for tries in range(1, 12)]
    assert waits == [*RETRY_DELAYS, None, None]
    assert list(RETRY_DELAYS) == sorted(RETRY_DELAYS)
    assert timedelta(days=3) < sum(RETRY_DELAYS, timedelta()) < timedelta(days=FAILING_DAYS)


@pytest.mark.parametrize(
    ("after", "status", "ends"),
    [
        (timedelta(days=FAILING_DAYS), 500, True),
        (timedelta(days=FAILING_DAYS), None, True),
        (timedelta(days=FAILING_DAYS) - timedelta(seconds=1), 500, False),
        (timedelta(0), 410, True),
    ],
)
def test_a_webhook_is_given_up(after: timedelta, status: int | None, *, ends: bool) -> None:
    begun = datetime(2026, 5, 5, tzinfo=UTC)
    assert is_given_up(begun, begun + after, status) == ends
