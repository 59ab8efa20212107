"""Webhooks with a real receiver: signed, at least once, in order of the change list, ended, never of another shop."""

import json
import re
import subprocess
from base64 import b64decode
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from textwrap import dedent
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from pytest_django import Settings

from shopapi.core.actor import Actor
from shopapi.core.clock import held_at, now
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Outbox
from shopapi.core.tenancy import in_shop, in_shop_snapshot
from shopapi.customers.models import Customer
from shopapi.notices.models import Notice
from shopapi.sync.queries import list_changes
from shopapi.webhooks import tasks
from shopapi.webhooks.models import Webhook, WebhookDelivery, WebhookProgress
from shopapi.webhooks.rules.webhook import FAILING_DAYS, MOST_CHANGES, MOST_WAITING, MOST_WEBHOOKS, RETRY_DELAYS
from shopapi.webhooks.services import webhooks as services
from shopapi.webhooks.services.sending import LEASE
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import a_customer, a_job, do
from tests.webhooks.receiver import LOST, Message, Receiver, receiver

README = Path(__file__).parents[2] / "shopapi/webhooks/README.md"
# A Tuesday, ten in the morning in Chicago: no quiet hours.
MORNING = datetime(2026, 5, 5, 15, tzinfo=UTC)


@pytest.fixture
def crew(committed_db: None, settings: Settings) -> Iterator[Crew]:
    settings.WEBHOOK_LOOPBACK = True
    settings.SMTP = settings.SMS = settings.VAPID = {}
    with held_at(MORNING):
        yield open_crew()


@pytest.fixture
def program(crew: Crew) -> Iterator[Receiver]:
    with receiver() as found:
        yield found


def hook(actor: Actor, url: str, *, kinds: tuple[str, ...] = ("customer",)) -> tuple[UUID, str]:
    """A webhook with its secret."""
    webhook_id = do(actor, services.add_webhook, id=uuid7(), url=url, label="Bookkeeping", kinds=list(kinds)).id
    return webhook_id, services.make_secret(actor=actor, webhook_id=webhook_id)


def work(shop_id: UUID) -> None:
    """What beat and a worker do: collect changes, send what is due."""
    tasks.collect_changes()
    with in_shop(shop_id):
        due = Outbox.objects.filter(task="webhooks.send_deliveries", done_at=None, run_after__lte=now() + LEASE / 10)
        found = list(due.values_list("id", flat=True))
    for outbox_id in found:
        tasks.send_deliveries(str(shop_id), str(outbox_id))


def signature_of(secret: str, message: Message) -> str:
    """The signature as OpenSSL works it out."""
    content = f"{message.headers['webhook-id']}.{message.headers['webhook-timestamp']}.".encode() + message.body
    key = b64decode(secret.removeprefix("whsec_")).hex()
    command = ["openssl", "dgst", "-sha256", "-mac", "HMAC", "-macopt", f"hexkey:{key}", "-binary"]
    digest = subprocess.run(command, input=content, capture_output=True, check=True).stdout
    encoded = subprocess.run(["openssl", "base64", "-A"], input=digest, capture_output=True, check=True)
    return f"v1,{encoded.stdout.decode()}"


def example() -> dict[str, Any]:
    """The names that the example of the README defines."""
    (code,) = re.findall(r"```python\n(.*?)```", README.read_text(), re.DOTALL)
    code = dedent(code)
    names: dict[str, Any] = {}
    exec(code, names)  # noqa: S102
    return names


def test_a_change_is_told_once_signed_and_can_be_read_from_its_cursor(crew: Crew, program: Receiver) -> None:
    _, secret = hook(crew.owner, f"{program.url}/hook")
    customer = a_customer(crew.owner, name="Winnie Stroud")
    work(crew.shop_id)
    work(crew.shop_id)
    (message,) = program.taken
    told = json.loads(message.body)
    assert (told["type"], message.path) == ("rows.changed", "/hook")
    assert told["data"]["changes"] == [{"kind": "customer", "id": str(customer), "deleted": False}]
    assert told["data"]["shop_id"] == str(crew.shop_id)
    assert "Winnie" not in message.body.decode()
    assert message.headers["webhook-signature"] == signature_of(secret, message)
    with in_shop(crew.shop_id):
        delivery = WebhookDelivery.objects.get()
        assert (str(delivery.id), delivery.state, delivery.status) == (
            message.headers["webhook-id"],
            "delivered",
            204,
        )
    for reader in (crew.owner, crew.mechanic):
        with in_shop_snapshot(crew.shop_id):
            answer = list_changes(reader, told["data"]["cursor"])
        assert [(one.kind, one.row["name"]) for one in answer.changes if one.kind == "customer" and one.row] == [
            ("customer", "Winnie Stroud")
        ]


def test_the_example_of_the_readme_takes_what_is_signed_and_nothing_else(crew: Crew, program: Receiver) -> None:
    _, secret = hook(crew.owner, program.url)
    a_customer(crew.owner)
    work(crew.shop_id)
    (message,) = program.taken
    verify = example()["verify"]
    at = float(message.headers["webhook-timestamp"])
    assert verify(secret, message.headers, message.body, at) == json.loads(message.body)
    other = "whsec_" + "A" * 43 + "="
    for wrong in (
        (other, message.headers, message.body, at),
        (secret, message.headers, message.body + b" ", at),
        (secret, message.headers | {"webhook-id": "x"}, message.body, at),
        (secret, message.headers, message.body, at + 301),
        (secret, message.headers, message.body, at - 301),
    ):
        with pytest.raises(ValueError, match="webhook"):
            verify(*wrong)


def test_a_lost_answer_leads_to_the_same_message_again(crew: Crew, program: Receiver) -> None:
    hook(crew.owner, program.url)
    a_customer(crew.owner)
    program.answers = [LOST, 500]
    at = MORNING
    for wait in (timedelta(0), *RETRY_DELAYS[:2]):
        at += wait
        with held_at(at - timedelta(seconds=1)):
            work(crew.shop_id)
        with held_at(at):
            work(crew.shop_id)
    assert len(program.taken) == 3
    assert len({message.headers["webhook-id"] for message in program.taken}) == 1
    assert len({message.body for message in program.taken}) == 1
    with in_shop(crew.shop_id):
        delivery = WebhookDelivery.objects.get()
        assert (delivery.state, delivery.tries, delivery.status, delivery.fault) == ("delivered", 3, 204, None)


def test_only_chosen_kinds_are_told_and_removals_too(crew: Crew, program: Receiver) -> None:
    hook(crew.owner, program.url, kinds=("customer", "job"))
    customer = a_customer(crew.owner)
    a_job(crew.owner)
    with in_shop(crew.shop_id):
        Customer.objects.filter(id=customer).delete()
    work(crew.shop_id)
    found = [change for one in program.taken for change in json.loads(one.body)["data"]["changes"]]
    assert {change["kind"] for change in found} == {"customer", "job"}
    assert {"kind": "customer", "id": str(customer), "deleted": True} in found


def test_a_webhook_of_every_kind_is_not_told_of_itself_for_ever(crew: Crew, program: Receiver) -> None:
    hook(crew.owner, program.url, kinds=())
    a_customer(crew.owner)
    for _ in range(4):
        work(crew.shop_id)
    told = len(program.taken)
    work(crew.shop_id)
    assert len(program.taken) == told
    assert "webhook_delivery" not in {
        change["kind"] for one in program.taken for change in json.loads(one.body)["data"]["changes"]
    }


def test_a_large_import_is_told_in_parts(crew: Crew, program: Receiver) -> None:
    hook(crew.owner, program.url)
    ids = [uuid7() for _ in range(MOST_CHANGES * 2 + 5)]
    with in_shop(crew.shop_id):
        Customer.objects.bulk_create(Customer(id=row_id, shop_id=crew.shop_id, name="Many") for row_id in ids)
    work(crew.shop_id)
    sizes = [len(json.loads(one.body)["data"]["changes"]) for one in program.taken]
    assert sizes == [MOST_CHANGES, MOST_CHANGES, 5]
    assert {change["id"] for one in program.taken for change in json.loads(one.body)["data"]["changes"]} == set(
        map(str, ids)
    )


def test_a_shop_is_never_told_of_another(crew: Crew, program: Receiver) -> None:
    other = open_crew("Other Yard")
    with receiver() as theirs:
        _, secret = hook(crew.owner, program.url)
        _, their_secret = hook(other.owner, theirs.url)
        own, foreign = a_customer(crew.owner), a_customer(other.owner)
        for shop in (crew.shop_id, other.shop_id):
            work(shop)
        for program_of, row, key, wrong in (
            (program, own, secret, their_secret),
            (theirs, foreign, their_secret, secret),
        ):
            (message,) = program_of.taken
            assert [one["id"] for one in json.loads(message.body)["data"]["changes"]] == [str(row)]
            assert message.headers["webhook-signature"] == signature_of(key, message) != signature_of(wrong, message)


def test_two_secrets_are_valid_while_one_is_replaced(crew: Crew, program: Receiver) -> None:
    webhook_id, first = hook(crew.owner, program.url)
    second = services.make_secret(actor=crew.owner, webhook_id=webhook_id)
    a_customer(crew.owner)
    work(crew.shop_id)
    (message,) = program.taken
    assert message.headers["webhook-signature"].split(" ") == [
        signature_of(second, message),
        signature_of(first, message),
    ]
    with held_at(MORNING + timedelta(hours=25)):
        a_customer(crew.owner)
        tasks.tidy()
        work(crew.shop_id)
    assert program.taken[1].headers["webhook-signature"] == signature_of(second, program.taken[1])


def test_a_secret_is_shown_once_and_stored_nowhere(crew: Crew, program: Receiver) -> None:
    browser, webhook_id = Browser(crew.owner), uuid7()
    made = browser.post("webhooks", {"id": str(webhook_id), "url": program.url, "kinds": []})
    assert (made.status_code, made.json()["ready"]) == (201, False)
    secret = browser.post(f"webhooks/{webhook_id}/secret", {}).json()["secret"]
    assert secret.startswith("whsec_")
    shown = browser.get(f"webhooks/{webhook_id}").json()
    assert shown["ready"] is True
    assert secret not in json.dumps(shown)
    key = secret.removeprefix("whsec_")
    with in_shop(crew.shop_id), connection.cursor() as cursor:
        for table in ("webhooks_webhook", "core_receipt", "core_auditevent", "core_outbox"):
            cursor.execute(f"SELECT count(*) FROM {table} t WHERE t::text LIKE %s", [f"%{key}%"])
            assert cursor.fetchone() == (0,)


def test_a_dead_receiver_ends_and_the_owner_is_told(crew: Crew, program: Receiver, settings: Settings) -> None:
    settings.SMTP = {"host": "127.0.0.1", "port": 9, "tls": "", "user": "", "sender": "", "address": ""}
    webhook_id, _ = hook(crew.owner, program.url)
    program.answers = [500] * 1000
    at, end = MORNING, MORNING + timedelta(days=FAILING_DAYS, hours=1)
    a_customer(crew.owner)
    while at < end:
        with held_at(at):
            work(crew.shop_id)
            # Something changes every three hours.
            a_customer(crew.owner)
        at += timedelta(hours=3)
    with in_shop(crew.shop_id):
        webhook = Webhook.objects.get(id=webhook_id)
        assert webhook.state == "failing"
        first = WebhookDelivery.objects.order_by("created_at").first()
        assert first is not None
        assert (first.state, first.tries, first.status) == ("failed", len(RETRY_DELAYS) + 1, 500)
        assert not WebhookDelivery.objects.filter(state="waiting").exists()
        notice = Notice.objects.get(template="webhook_off")
        assert (notice.channel, notice.address) == ("email", "owner@bench.example")
        assert AuditEvent.objects.filter(event="webhook failing", subject_id=webhook_id).count() == 1
    # Bounded, whatever happened in those days.
    asked = len(program.taken)
    assert asked < 150
    with held_at(end):
        a_customer(crew.owner)
        work(crew.shop_id)
    assert len(program.taken) == asked
    # Turned on again it goes on where it was: nothing that changed since is left out.
    program.answers = []
    with held_at(end), in_shop(crew.shop_id):
        seq = WebhookProgress.objects.get(webhook=webhook_id).seq
    with held_at(end):
        do(crew.owner, services.turn_on_webhook, id=webhook_id)
        work(crew.shop_id)
        with in_shop_snapshot(crew.shop_id):
            cursor = json.loads(program.taken[asked].body)["data"]["cursor"]
            wanted = {str(one.id) for one in list_changes(crew.owner, cursor).changes if one.kind == "customer"}
    told = {change["id"] for one in program.taken[asked:] for change in json.loads(one.body)["data"]["changes"]}
    assert told == wanted
    assert seq > 0


def test_unfinished_deliveries_are_bounded(crew: Crew, program: Receiver) -> None:
    hook(crew.owner, program.url)
    program.answers = [500] * 100
    for _ in range(MOST_WAITING + 5):
        a_customer(crew.owner)
        work(crew.shop_id)
    with in_shop(crew.shop_id):
        assert WebhookDelivery.objects.count() == MOST_WAITING
    program.answers = []
    with held_at(MORNING + timedelta(minutes=1)):
        work(crew.shop_id)
        work(crew.shop_id)
    told = {change["id"] for one in program.taken for change in json.loads(one.body)["data"]["changes"]}
    with in_shop(crew.shop_id):
        assert told == {str(row_id) for row_id in Customer.objects.values_list("id", flat=True)}


def test_a_receiver_that_is_gone_is_turned_off_at_once(crew: Crew, program: Receiver) -> None:
    webhook_id, _ = hook(crew.owner, program.url)
    program.answers = [410]
    a_customer(crew.owner)
    work(crew.shop_id)
    with in_shop(crew.shop_id):
        assert Webhook.objects.get(id=webhook_id).state == "failing"
    with pytest.raises(Conflict) as refused:
        do(crew.owner, services.test_webhook, id=webhook_id)
    assert refused.value.code == "webhook_is_off"


def test_a_delivery_is_sent_again_by_hand_under_its_id(crew: Crew, program: Receiver) -> None:
    hook(crew.owner, program.url)
    a_customer(crew.owner)
    work(crew.shop_id)
    with in_shop(crew.shop_id):
        delivery = WebhookDelivery.objects.get()
    do(crew.owner, services.redeliver_webhook_delivery, id=delivery.id)
    with pytest.raises(Conflict) as refused:
        do(crew.owner, services.redeliver_webhook_delivery, id=delivery.id)
    assert refused.value.code == "delivery_waits"
    work(crew.shop_id)
    first, second = program.taken
    assert (first.headers["webhook-id"], first.body) == (second.headers["webhook-id"], second.body)


def test_a_test_goes_out_without_changes(crew: Crew, program: Receiver) -> None:
    webhook_id, _ = hook(crew.owner, program.url)
    do(crew.owner, services.test_webhook, id=webhook_id)
    work(crew.shop_id)
    told = json.loads(program.taken[0].body)
    assert (told["type"], told["data"]["changes"]) == ("test", [])


def test_redirects_are_not_followed(crew: Crew, program: Receiver) -> None:
    hook(crew.owner, program.url)
    program.answers = [307]
    a_customer(crew.owner)
    work(crew.shop_id)
    assert [one.path for one in program.taken] == ["/"]
    with in_shop(crew.shop_id):
        delivery = WebhookDelivery.objects.get()
        assert (delivery.state, delivery.status, delivery.fault) == ("waiting", 307, "redirected")


def test_a_worker_does_not_send_what_another_is_sending(crew: Crew, program: Receiver) -> None:
    hook(crew.owner, program.url)
    a_customer(crew.owner)
    with in_shop(crew.shop_id):
        WebhookProgress.objects.update(leased_until=MORNING + LEASE)
    work(crew.shop_id)
    assert program.taken == []
    with held_at(MORNING + LEASE + timedelta(seconds=1)):
        work(crew.shop_id)
    assert len(program.taken) == 1


@pytest.mark.parametrize("url", ["http://example.com/", "https://10.0.0.1/", "https://localhost/", "nonsense"])
def test_a_bad_address_is_refused_with_the_field(crew: Crew, url: str) -> None:
    with pytest.raises(Invalid) as refused:
        do(crew.owner, services.add_webhook, id=uuid7(), url=url, kinds=[])
    assert [one.field for one in refused.value.fields] == ["url"]


def test_unknown_kinds_and_too_many_webhooks_are_refused(crew: Crew, program: Receiver) -> None:
    with pytest.raises(Invalid) as refused:
        do(crew.owner, services.add_webhook, id=uuid7(), url=program.url, kinds=["customer", "nonsense"])
    assert [(one.field, one.code) for one in refused.value.fields] == [("kinds", "unknown_kinds")]
    for _ in range(MOST_WEBHOOKS):
        do(crew.owner, services.add_webhook, id=uuid7(), url=program.url, kinds=[])
    with pytest.raises(Conflict) as full:
        do(crew.owner, services.add_webhook, id=uuid7(), url=program.url, kinds=[])
    assert full.value.code == "too_many_webhooks"


def test_a_removed_webhook_leaves_nothing(crew: Crew, program: Receiver) -> None:
    webhook_id, _ = hook(crew.owner, program.url)
    a_customer(crew.owner)
    tasks.collect_changes()
    do(crew.owner, services.remove_webhook, id=webhook_id)
    work(crew.shop_id)
    assert program.taken == []
    with in_shop(crew.shop_id):
        assert not WebhookDelivery.objects.exists()


def test_old_deliveries_are_forgotten(crew: Crew, program: Receiver) -> None:
    hook(crew.owner, program.url)
    a_customer(crew.owner)
    work(crew.shop_id)
    tasks.tidy()
    with in_shop(crew.shop_id):
        assert WebhookDelivery.objects.count() == 1
    with held_at(now() + timedelta(days=4000)):
        tasks.tidy()
    with in_shop(crew.shop_id):
        assert not WebhookDelivery.objects.exists()
