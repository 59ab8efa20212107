"""A new password and a new address by a mailed link, through a real mail server."""

import hashlib
import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from email.message import EmailMessage
from threading import Barrier
from typing import Any

import pytest
from django.conf import settings
from django.db import connections
from django.test import Client

from shopapi.accounts.models import Invitation, MailedLink, User
from shopapi.accounts.rules import NewInvitation, Role
from shopapi.accounts.rules.mailed_links import MAILS, MailText, ResetPassword
from shopapi.accounts.services.invitations import invite_member
from shopapi.accounts.services.mailed_links import reset_password
from shopapi.accounts.services.members import end_membership
from shopapi.accounts.services.tokens import make_token
from shopapi.accounts.tasks import send_mail
from shopapi.core.clock import now
from shopapi.core.errors import DomainError
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Outbox
from shopapi.core.tenancy import in_shop
from tests.factories.crews import PASSWORD, Browser, Crew, member_of, open_crew
from tests.factories.work import do
from tests.notices.post import Mailbox, mail_server, smtp_settings

EMAIL, FRESH = "mechanic@bench.example", "four slow mowers"
LINK = re.compile(r"http://localhost:8000/(new-password|confirm-address)#([\w-]{43})\b")


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


@pytest.fixture
def mailbox(monkeypatch: pytest.MonkeyPatch) -> Iterator[Mailbox]:
    with mail_server() as box:
        monkeypatch.setattr(settings, "SMTP", smtp_settings(box.port))
        yield box


def sign_in(email: str = EMAIL, password: str = PASSWORD) -> Browser:
    browser = Browser()
    assert browser.post("session", {"email": email, "password": password}).status_code == 200
    return browser


def deliver(crew: Crew) -> None:
    """Run the mail tasks that wait, as a worker would."""
    with in_shop(crew.shop_id):
        waiting = list(Outbox.objects.filter(task="accounts.send_mail", done_at=None).order_by("id"))
    for row in waiting:
        send_mail(str(crew.shop_id), str(row.id))


def text_of(mail: EmailMessage) -> str:
    return str(mail.get_content())


def token_in(mail: EmailMessage) -> str:
    found = LINK.search(text_of(mail))
    assert found is not None, text_of(mail)
    return found[2]


def asked(crew: Crew, mailbox: Mailbox, email: str = EMAIL, **headers: str) -> str:
    """The token of a link that was asked for and has arrived."""
    assert Browser().post("session/reset", {"email": email}, **headers).status_code == 204
    deliver(crew)
    return token_in(mailbox.taken[-1])


def reset(token: str, password: str = FRESH, **headers: str) -> Any:
    return Browser().post("session/reset/password", {"token": token, "password": password}, **headers)


def test_forgotten_password_is_set_anew_by_a_mailed_link(crew: Crew, mailbox: Mailbox) -> None:
    key = make_token(actor=crew.owner, member_id=member_of(crew.mechanic), label="own")
    elsewhere = sign_in()
    token = asked(crew, mailbox, "Mechanic@BENCH.example")
    [mail] = mailbox.taken
    assert (mail["To"], mail["Subject"], mail["Auto-Submitted"]) == (
        EMAIL,
        "A new password for Drawbar",
        "auto-generated",
    )
    # Asking alone changes nothing.
    assert elsewhere.get("customers").status_code == 200
    assert reset(token).status_code == 204
    assert elsewhere.get("customers").status_code == 401
    assert Client().get("/api/v1/customers", headers={"Authorization": f"Bearer {key}"}).status_code == 401
    assert Browser().post("session", {"email": EMAIL, "password": PASSWORD}).status_code == 422
    assert sign_in(password=FRESH).get("customers").status_code == 200
    deliver(crew)
    assert [one["Subject"] for one in mailbox.taken] == [
        "A new password for Drawbar",
        "Your password for Drawbar was changed",
    ]
    with in_shop(crew.shop_id):
        event = AuditEvent.objects.get(event="password reset")
    assert (event.member_id, event.details) == (crew.mechanic.member_id, {"keys": 1})


def test_link_is_stored_as_a_digest_alone(crew: Crew, mailbox: Mailbox) -> None:
    token = asked(crew, mailbox)
    assert MailedLink.objects.get().token_hash == hashlib.sha256(token.encode()).hexdigest()
    with in_shop(crew.shop_id):
        kept = [str(row) for row in (*Outbox.objects.values(), *AuditEvent.objects.values())]
    assert [row for row in kept if token in row] == []


def test_link_works_once_for_an_hour_and_is_not_another_ones(crew: Crew, mailbox: Mailbox) -> None:
    token = asked(crew, mailbox)
    weak = reset(token, "password1234")
    assert (weak.status_code, weak.json()["code"]) == (422, "weak_password")
    assert reset(token).status_code == 204
    again = reset(token, "another four mowers")
    assert (again.status_code, again.json()["code"]) == (409, "link_over")
    late = asked(crew, mailbox)
    MailedLink.objects.filter(used_at=None).update(expires_at=now() - timedelta(seconds=1))
    assert reset(late).json()["code"] == "link_over"
    assert reset("x" * 43).json()["code"] == "link_over"
    spanish = reset("x" * 43, **{"Accept-Language": "es"}).json()
    assert spanish["detail"] == "Este enlace ya se usó o es demasiado viejo. Pida uno nuevo."
    # A link of the other purpose is none of this.
    assert Browser().post("session/address/confirm", {"token": asked(crew, mailbox)}).status_code == 409


def test_twenty_concurrent_uses_of_a_link_set_one_password(crew: Crew, mailbox: Mailbox) -> None:
    token = asked(crew, mailbox)
    together = Barrier(20)

    def use(number: int) -> str:
        try:
            together.wait()
            reset_password(data=ResetPassword(token=token, password=f"{FRESH} {number}"), network="192.0.2.1")
        except DomainError as refused:
            return refused.code
        finally:
            connections.close_all()
        return "set"

    with ThreadPoolExecutor(20) as pool:
        said = sorted(pool.map(use, range(20)))
    assert said == ["link_over"] * 19 + ["set"]


def test_answer_does_not_tell_who_signs_in_here(crew: Crew, mailbox: Mailbox) -> None:
    do(crew.owner, end_membership, id=crew.office.member_id)
    answers = [Browser().post("session/reset", {"email": email}) for email in (EMAIL, "nobody@bench.example")]
    answers.append(Browser().post("session/reset", {"email": "office@bench.example"}))
    assert {(answer.status_code, answer.content) for answer in answers} == {(204, b"")}
    deliver(crew)
    assert [mail["To"] for mail in mailbox.taken] == [EMAIL]


def test_mails_are_few_whoever_asks(crew: Crew, mailbox: Mailbox) -> None:
    statuses = [Browser().post("session/reset", {"email": EMAIL}).status_code for _ in range(21)]
    assert statuses == [204] * 20 + [429]
    deliver(crew)
    assert len(mailbox.taken) == 3


def test_mail_is_in_the_language_of_who_asks(crew: Crew, mailbox: Mailbox) -> None:
    asked(crew, mailbox, **{"Accept-Language": "es-MX"})
    assert mailbox.taken[0]["Subject"] == "Una contraseña nueva para Drawbar"
    # Both languages name the same things in every mail.
    for text in MailText:
        fields = [sorted(re.findall(r"\{\w+\}", "".join(MAILS[language][text]))) for language in ("en", "es")]
        assert fields[0] == fields[1], text


def test_mail_that_is_not_taken_is_sent_later(crew: Crew, mailbox: Mailbox) -> None:
    mailbox.rcpt = "451 later"
    Browser().post("session/reset", {"email": EMAIL})
    with pytest.raises(OSError, match="451"):
        deliver(crew)
    mailbox.rcpt = "250 OK"
    deliver(crew)
    deliver(crew)
    assert [mail["To"] for mail in mailbox.taken] == [EMAIL]


def test_server_without_mail_says_so(crew: Crew) -> None:
    refused = Browser().post("session/reset", {"email": EMAIL})
    assert (refused.status_code, refused.json()["code"]) == (409, "no_mail_server")
    assert Browser().get("session").json()["reset_by_mail"] is False
    body = {"email": "new@bench.example", "password": PASSWORD}
    assert Browser(crew.mechanic).post("session/address", body).json()["code"] == "no_mail_server"


def test_owners_reset_withdraws_invitations_and_a_new_password_ends_links(crew: Crew, mailbox: Mailbox) -> None:
    assert Browser().get("session").json()["reset_by_mail"] is True
    person = NewInvitation(id=uuid7(), name="Ivo", email="ivo@bench.example", role=Role.MECHANIC)
    with in_shop(crew.shop_id):
        invite_member(actor=crew.owner, data=person)
    assert reset(asked(crew, mailbox, "owner@bench.example")).status_code == 204
    with in_shop(crew.shop_id):
        assert Invitation.objects.exclude(withdrawn_at=None).get().id == person.id
    token = asked(crew, mailbox)
    changed = Browser(crew.mechanic).post("session/password", {"old": PASSWORD, "new": "five slow mowers"})
    assert changed.status_code == 200
    assert reset(token).json()["code"] == "link_over"


def test_address_changes_once_it_is_confirmed(crew: Crew, mailbox: Mailbox) -> None:
    browser = sign_in()
    new = "kim@new.example"
    wrong = browser.post("session/address", {"email": new, "password": "not it at all"})
    assert [fault["field"] for fault in wrong.json()["fields"]] == ["password"]
    taken = browser.post("session/address", {"email": "OFFICE@bench.example", "password": PASSWORD})
    assert [(fault["field"], fault["code"]) for fault in taken.json()["fields"]] == [("email", "email_taken")]
    assert browser.post("session/address", {"email": new, "password": PASSWORD}).status_code == 204
    deliver(crew)
    assert sorted(mail["To"] for mail in mailbox.taken) == [new, EMAIL]
    [confirm] = [mail for mail in mailbox.taken if mail["To"] == new]
    [note] = [mail for mail in mailbox.taken if mail["To"] == EMAIL]
    assert LINK.search(text_of(note)) is None
    sign_in()
    assert Browser().post("session/address/confirm", {"token": token_in(confirm)}).status_code == 204
    assert Browser().post("session", {"email": EMAIL, "password": PASSWORD}).status_code == 422
    assert sign_in("KIM@new.example").get("customers").status_code == 200
    # The sessions of before go on.
    assert browser.get("customers").status_code == 200
    deliver(crew)
    assert (mailbox.taken[-1]["To"], mailbox.taken[-1]["Subject"]) == (EMAIL, "Your address for Drawbar was changed")
    assert Browser().post("session/address/confirm", {"token": token_in(confirm)}).json()["code"] == "link_over"
    with in_shop(crew.shop_id):
        events = set(AuditEvent.objects.filter(event__startswith="address").values_list("event", flat=True))
    assert events == {"address change asked", "address changed"}


def test_address_taken_meanwhile_is_refused_and_a_new_password_stops_the_change(crew: Crew, mailbox: Mailbox) -> None:
    browser = sign_in()
    browser.post("session/address", {"email": "kim@new.example", "password": PASSWORD})
    deliver(crew)
    [token] = [token_in(mail) for mail in mailbox.taken if mail["To"] == "kim@new.example"]
    User.objects.filter(sign_in="office@bench.example").update(email="kim@new.example", sign_in="kim@new.example")
    refused = Browser().post("session/address/confirm", {"token": token})
    assert (refused.status_code, refused.json()["code"]) == (409, "email_taken")
    browser.post("session/address", {"email": "kim@other.example", "password": PASSWORD})
    deliver(crew)
    [token] = [token_in(mail) for mail in mailbox.taken if mail["To"] == "kim@other.example"]
    assert browser.post("session/password", {"old": PASSWORD, "new": FRESH}).status_code == 200
    assert Browser().post("session/address/confirm", {"token": token}).json()["code"] == "link_over"
    assert User.objects.filter(sign_in=EMAIL).exists()
