"""A customer decides through a link: the page, the effect, privacy, and concurrent answers."""

import logging
import re
import threading
from datetime import timedelta
from io import StringIO
from typing import Any
from uuid import UUID

import pytest
from django.db import connection, connections
from django.test import Client
from django.urls import resolve
from pytest_django import Settings

from shopapi.accounts.models import LoginAttempt
from shopapi.config.logs import SecretsMasked
from shopapi.core.actor import Actor
from shopapi.core.clock import held_at, now
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.tenancy import in_shop
from shopapi.jobs.services import edit_finding
from shopapi.notices.models import Notice, PushSubscription
from shopapi.quotes.models import Approval, ApprovalLink, CustomerQuestion, Line, Quote
from shopapi.quotes.rules.approval_requests import GUESS_MOST, LinkFacts, end_of, link_status
from shopapi.quotes.services.approval_requests import (
    answer_customer_question,
    revoke_approval_link,
    send_approval_request,
)
from shopapi.quotes.services.decisions import decide_quote
from shopapi.quotes.services.drafts import lapse_quotes, offer_quote, put_quote_line, withdraw_quote
from shopapi.quotes.services.links import address_of, address_to_send, secret_of
from tests.factories import work
from tests.factories.crews import Browser, Crew, device_of, member_of, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do

CANARY = "<img src=x onerror=alert(1)>\"'&"


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Settings) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def customer_phone() -> Client:
    """A phone that keeps no cookies and is asked for the CSRF token wherever Django wants one."""
    return Client(enforce_csrf_checks=True, raise_request_exception=False, headers={"User-Agent": "Old phone/1.0"})


def asked(crew: Crew, **more: Any) -> tuple[UUID, UUID, str]:
    """An offered quote, a request about it and the customer's path."""
    quote = work.an_offer(crew.mechanic, work.a_job(crew.mechanic), **more)
    link = work.a_request(crew.mechanic, quote)
    return quote, link, work.path_of(crew.mechanic, link)


def choices(actor: Actor, quote: UUID, *said: str) -> dict[str, str]:
    with in_shop(actor.shop_id):
        ids = Line.objects.filter(quote=quote).exclude(kind="discount").order_by("position")
        return {f"line-{line.id}": word for line, word in zip(ids, said, strict=False)}


def stored(crew: Crew, quote: UUID) -> Quote:
    with in_shop(crew.shop_id):
        return Quote.objects.get(id=quote)


# What the customer does


def test_a_customer_reads_counts_checks_and_decides_without_script_or_cookie(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    finding = work.a_finding(crew.mechanic, job, consequence="It will strand you.")
    quote = work.a_draft(crew.mechanic, job, kind="added")
    do(crew.mechanic, put_quote_line, quote_id=quote, finding_id=finding, **work.labor())
    do(crew.office, put_quote_line, quote_id=quote, **work.part())
    do(crew.mechanic, offer_quote, **work.offer_of(crew.mechanic, quote))
    link = work.a_request(crew.mechanic, quote, channel="email", address="winnie@stroud.example", name="Winnie")
    path, phone = work.path_of(crew.mechanic, link), customer_phone()

    page = phone.get(path)
    text = page.content.decode()
    assert page.status_code == 200
    for words in ("Quote for added work", "brushes are worn", "It will strand you.", "$163.00", "to make it work"):
        assert words in text
    assert " checked" not in text

    counted = phone.post(path, {"step": "count", **choices(crew.mechanic, quote, "yes")})
    assert _total(counted) == "$135.00"
    missing = phone.post(path, {"step": "check", **choices(crew.mechanic, quote, "yes")})
    assert (missing.status_code, "1 still needs an answer" in missing.content.decode()) == (422, True)

    said = choices(crew.mechanic, quote, "yes", "no")
    check = phone.post(path, {"step": "check", **said})
    assert (check.status_code, _total(check)) == (200, "$135.00")
    assert stored(crew, quote).state == "offered"
    nameless = phone.post(path, {"step": "decide", "name": "  ", **said})
    assert (nameless.status_code, "Write your name" in nameless.content.decode()) == (422, True)

    sent = phone.post(path, {"step": "decide", "name": "Winnie Stroud", **said})
    assert (sent.status_code, sent["Location"]) == (303, path)
    done = phone.get(path).content.decode()
    for words in ("Thank you. Your answer is saved.", "Answered by Winnie Stroud", "Approved total", "$135.00"):
        assert words in done
    assert "Your copy is being made" in done
    assert not phone.cookies

    with in_shop(crew.shop_id):
        approval = Approval.objects.get()
        found = Quote.objects.get(id=quote)
        assert (approval.how, approval.matches, approval.decided_by_name) == ("link", True, "Winnie Stroud")
        assert (approval.digest, approval.revision) == (found.offer_digest, 1)
        assert (approval.link_id, approval.user_agent, approval.network) == (link, "Old phone/1.0", "127.0.0.1")
        assert (approval.zone, approval.member_id, approval.accepted_total_minor) == ("America/Chicago", None, 13_500)
        assert [str(one) for one in approval.accepted_ids] == [next(iter(said)).removeprefix("line-")]
        assert (found.state, found.job.waits_on) == ("decided", [])
        assert ApprovalLink.objects.get().used_at == approval.decided_at


def _total(answer: Any) -> str:
    found = re.search(r'<tr class="total">.*?<td>(.*?)</td>', answer.content.decode(), re.DOTALL)
    assert found
    return found[1]


def test_no_to_everything_is_kept_the_same_way(crew: Crew) -> None:
    quote, _, path = asked(crew)
    customer_phone().post(path, {"step": "decide", "name": "W", **choices(crew.owner, quote, "no", "no")})
    with in_shop(crew.shop_id):
        approval = Approval.objects.get()
        assert (approval.accepted_ids, len(approval.declined_ids), approval.accepted_total_minor) == ([], 2, 0)
        assert set(Line.objects.values_list("decided", flat=True)) == {"declined"}


def test_opening_following_and_fetching_decide_nothing(crew: Crew) -> None:
    quote, link, path = asked(crew)
    for _ in range(10):
        assert customer_phone().get(path).status_code == 200
        assert customer_phone().head(path).status_code == 200
        for below in ("/question", "/asked", "/quote.pdf"):
            customer_phone().get(path + below)
        query = "&".join(f"{key}={word}" for key, word in choices(crew.owner, quote, "yes", "yes").items())
        assert customer_phone().get(f"{path}?step=decide&name=Scanner&{query}").status_code == 200
    with in_shop(crew.shop_id):
        assert not Approval.objects.exists()
        kept = ApprovalLink.objects.get(id=link)
        # Ten scanners within a minute are one opening.
        assert (kept.used_at, kept.opened_count) == (None, 1)
    assert stored(crew, quote).state == "offered"
    for method in ("put", "patch", "delete", "options"):
        assert getattr(customer_phone(), method)(path).status_code == 405


def test_an_answer_sent_twice_is_the_first_one(crew: Crew) -> None:
    quote, _, path = asked(crew)
    phone = customer_phone()
    phone.post(path, {"step": "decide", "name": "First", **choices(crew.owner, quote, "yes", "no")})
    again = phone.post(path, {"step": "decide", "name": "Second", **choices(crew.owner, quote, "no", "yes")})
    assert (again.status_code, "Answered by First" in again.content.decode()) == (409, True)
    with in_shop(crew.shop_id):
        assert [approval.decided_by_name for approval in Approval.objects.all()] == ["First"]
        assert not Issue.objects.exists()


def test_a_question_goes_to_the_shop_and_decides_nothing(crew: Crew) -> None:
    quote, link, path = asked(crew)
    with in_shop(crew.shop_id):
        PushSubscription.objects.create(
            shop_id=crew.shop_id,
            member_id=member_of(crew.mechanic),
            device_id=device_of(crew.mechanic),
            endpoint="https://push.example/1",
            p256dh="key",
            auth="secret",
        )
    phone = customer_phone()
    assert phone.get(f"{path}/question").status_code == 200
    empty = phone.post(f"{path}/question", {"words": " ", "name": "W"})
    assert (empty.status_code, "Write your question." in empty.content.decode()) == (422, True)
    long = phone.post(f"{path}/question", {"words": "a" * 2001, "name": "Kept Name"})
    assert (long.status_code, "Kept Name" in long.content.decode()) == (422, True)
    sent = phone.post(f"{path}/question", {"words": "Is it the original part?", "name": "Winnie"})
    assert (sent.status_code, sent["Location"]) == (303, f"{path}/asked")
    assert "Someone from the shop will call you" in phone.get(f"{path}/asked").content.decode()
    with in_shop(crew.shop_id):
        question = CustomerQuestion.objects.get()
        assert (question.words, question.name, question.link_id) == ("Is it the original part?", "Winnie", link)
        # Only members with push turned on get a message; it opens the quote.
        (notice,) = Notice.objects.filter(template="customer_asked")
        assert (notice.channel, notice.address, notice.about_id) == ("push", str(crew.mechanic.member_id), quote)
        assert notice.values["question"] == "Is it the original part?"
    answered = do(crew.mechanic, answer_customer_question, id=question.id)
    assert answered.answered_by_id == crew.mechanic.member_id
    assert do(crew.owner, answer_customer_question, id=question.id).answered_at == answered.answered_at
    assert stored(crew, quote).state == "offered"


# What a link does not do


def test_a_link_that_was_tampered_with_leads_nowhere(crew: Crew) -> None:
    _, _, path = asked(crew)
    for wrong in (
        path[:-1],
        path + "x",
        path[:-1] + ("A" if path[-1] != "A" else "B"),
        "/ask/x",
        "/ask/" + path[5:].lower(),
    ):
        answer = customer_phone().post(wrong, {"step": "decide", "name": "W"})
        assert (answer.status_code, "leads nowhere" in answer.content.decode()) == (404, True)


def test_a_link_taken_back_shows_and_takes_nothing(crew: Crew) -> None:
    quote, link, path = asked(crew)
    do(crew.mechanic, revoke_approval_link, id=link)
    said = {"step": "decide", "name": "W", **choices(crew.owner, quote, "yes", "yes")}
    for answer in (customer_phone().get(path), customer_phone().post(path, said)):
        assert answer.status_code in {409, 410}
        assert "withdrawn this request" in answer.content.decode()
        assert "$163.00" not in answer.content.decode()
    assert customer_phone().get(f"{path}/quote.pdf").status_code == 404
    assert customer_phone().post(f"{path}/question", {"words": "Why?"}).status_code == 410
    assert stored(crew, quote).state == "offered"


def test_a_link_ends_with_the_last_day_of_the_offer_in_the_shops_zone(crew: Crew) -> None:
    quote, link, path = asked(crew)
    with in_shop(crew.shop_id):
        ends = ApprovalLink.objects.get(id=link).expires_at
    assert ends == end_of(stored(crew, quote).valid_until, "America/Chicago")  # type: ignore[arg-type] # an offer has a last day
    said = {"step": "decide", "name": "W", **choices(crew.owner, quote, "yes", "yes")}
    with held_at(ends):
        late = customer_phone().post(path, said)
        assert (late.status_code, "This quote has expired" in late.content.decode()) == (409, True)
    assert stored(crew, quote).state == "offered"
    with held_at(ends - timedelta(seconds=1)):
        assert customer_phone().post(path, said).status_code == 303
    assert stored(crew, quote).state == "decided"


def test_an_answer_after_the_offer_lapsed_changes_nothing(crew: Crew) -> None:
    quote, _, path = asked(crew)
    with in_shop(crew.shop_id):
        lapse_quotes(actor=crew.owner, today=work.today() + timedelta(days=31))
    late = customer_phone().post(path, {"step": "decide", "name": "W", **choices(crew.owner, quote, "yes", "yes")})
    assert (late.status_code, stored(crew, quote).state) == (409, "lapsed")


def test_a_link_is_dead_once_a_revision_replaces_it_and_leads_on(crew: Crew) -> None:
    quote, _, path = asked(crew)
    job = stored(crew, quote).job_id
    second = work.an_offer(crew.mechanic, job, replaces_id=quote)
    said = {"step": "decide", "name": "W", **choices(crew.owner, quote, "yes", "yes")}
    dead = customer_phone().post(path, said)
    newer = re.search(r'href="(/ask/[^"]+)"', dead.content.decode())
    assert dead.status_code == 409
    assert newer
    assert newer[1] != path
    said = {"step": "decide", "name": "W", **choices(crew.owner, second, "yes", "yes")}
    assert customer_phone().post(newer[1], said).status_code == 303
    assert [stored(crew, one).state for one in (quote, second)] == ["replaced", "decided"]
    with in_shop(crew.shop_id):
        assert Approval.objects.get().revision == 2


def test_a_quote_taken_back_is_not_asked_about(crew: Crew) -> None:
    quote, _, path = asked(crew)
    do(crew.owner, withdraw_quote, id=quote)
    assert customer_phone().get(path).status_code == 410


def test_only_what_is_on_offer_is_asked_about_and_only_where_it_can_arrive(crew: Crew) -> None:
    draft = work.a_quote(crew.owner, work.a_job(crew.owner))
    with pytest.raises(Conflict) as refused:
        work.a_request(crew.owner, draft)
    assert refused.value.fields[0].field == "quote_id"
    offer = work.an_offer(crew.owner, work.a_job(crew.owner))
    for channel, address, code in (("email", "winnie", "bad_email"), ("sms", "call me", "bad_phone")):
        with pytest.raises(Invalid) as wrong:
            work.a_request(crew.owner, offer, channel=channel, address=address)
        assert [(fault.field, fault.code) for fault in wrong.value.fields] == [("address", code)]


def test_a_request_goes_out_as_a_notice_that_names_its_link_and_does_not_hold_it(crew: Crew) -> None:
    quote = work.an_offer(crew.mechanic, work.a_job(crew.mechanic))
    link = work.a_request(crew.mechanic, quote, channel="email", address="winnie@stroud.example", name="Winnie")
    with in_shop(crew.shop_id):
        notice = Notice.objects.get()
        assert (notice.channel, notice.address, notice.about_id) == ("email", "winnie@stroud.example", quote)
        assert notice.values["link"] == {"resolver": "approval", "id": str(link)}
        assert (notice.values["total"], notice.values["customer"]) == ("$163.00", "Winnie")
        assert address_to_send(crew.mechanic, link).endswith(work.path_of(crew.mechanic, link))
    do(crew.mechanic, revoke_approval_link, id=link)
    with in_shop(crew.shop_id), refuses(Conflict, "This request is closed"):
        address_to_send(crew.mechanic, link)


@pytest.mark.parametrize(
    ("marks", "after", "state", "status"),
    [
        ("", -1, "offered", "open"),
        ("", 0, "offered", "ended"),
        ("revoked", -1, "offered", "taken_back"),
        ("used revoked", 9, "replaced", "answered"),
        ("", -1, "decided", "decided"),
        ("", -1, "replaced", "replaced"),
        ("", -1, "withdrawn", "withdrawn"),
        ("", -1, "lapsed", "ended"),
    ],
)
def test_where_a_link_stands(marks: str, after: int, state: Any, status: str) -> None:
    at = now()
    facts = LinkFacts(used="used" in marks, revoked="revoked" in marks, expires_at=at, quote_state=state)
    assert link_status(facts, at + timedelta(seconds=after)) == status


# What a link gives away


def test_the_secret_stands_nowhere(crew: Crew, settings: Settings) -> None:
    quote, _, _ = asked(crew)
    link = work.a_request(crew.mechanic, quote, channel="email", address="winnie@stroud.example")
    path = work.path_of(crew.mechanic, link)
    secret = path.removeprefix("/ask/")
    # 256 bits in base64url (RFC 4648, section 5): 43 letters.
    assert re.fullmatch(r"[A-Za-z0-9_-]{43}", secret)
    customer_phone().post(path, {"step": "decide", "name": "W", **choices(crew.owner, quote, "yes", "yes")})
    with in_shop(crew.shop_id), connection.cursor() as cursor:
        cursor.execute("SELECT table_name FROM information_schema.tables WHERE table_schema = 'public'")
        tables = [name for (name,) in cursor.fetchall()]
        assert len(tables) > 30
        for table in tables:
            cursor.execute(f'SELECT count(*) FROM "{table}" t WHERE strpos(t::text, %s) > 0', [secret])
            assert cursor.fetchone() == (0,), table
    row = Browser(crew.mechanic).get(f"approval-links/{link}")
    assert row.status_code == 200
    assert secret not in row.content.decode()
    assert "token" not in row.content.decode()
    shown = Browser(crew.mechanic).get(f"approval-links/{link}/address").json()
    assert shown == {"url": f"{settings.ORIGIN}{path}"}


def test_a_link_outlives_the_key_it_was_made_under_as_long_as_that_is_kept(crew: Crew, settings: Settings) -> None:
    _, link, path = asked(crew)
    old, settings.SECRET_KEY = settings.SECRET_KEY, "another key"
    settings.SECRET_KEY_FALLBACKS = [old]
    with in_shop(crew.shop_id):
        kept = ApprovalLink.objects.get(id=link)
    assert address_of(kept).endswith(path)
    settings.SECRET_KEY_FALLBACKS = []
    with refuses(Conflict, "Make a new request"):
        address_of(kept)
    assert secret_of(link, "a key") != secret_of(link, "another") != secret_of(uuid7(), "another")
    assert customer_phone().get(path).status_code == 200


def test_logs_say_no_secret(crew: Crew) -> None:
    _, _, path = asked(crew)
    out = StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(SecretsMasked("%(name)s %(message)s"))
    root = logging.getLogger()
    root.addHandler(handler)
    try:
        customer_phone().get(path + "x")
        customer_phone().delete(path)
        # A secret of the same kind, by which a member's runs can be read.
        logging.getLogger("shopapi.test").warning("at /calendar/%s/%s.ics", uuid7(), path.removeprefix("/ask/"))
        try:
            raise ValueError(path)
        except ValueError:
            logging.getLogger("shopapi.test").exception("at http://h%s/question", path)
    finally:
        root.removeHandler(handler)
    said = out.getvalue()
    assert said.count("/ask/***") >= 4
    assert path.removeprefix("/ask/") not in said


def test_every_answer_keeps_its_address_to_itself(crew: Crew) -> None:
    quote, _, path = asked(crew)
    phone = customer_phone()
    answers = [
        phone.get(path),
        phone.post(path, {"step": "check", **choices(crew.owner, quote, "yes")}),
        phone.get(f"{path}/question"),
        phone.get(f"{path}/quote.pdf"),
        phone.get(f"{path}/pictures/{uuid7()}/small"),
        phone.get(f"{path}/nothing/here"),
        phone.get("/ask/unknown"),
        phone.delete(path),
        phone.post(path, {"step": "decide", "name": "W", **choices(crew.owner, quote, "yes", "yes")}),
        phone.get(path),
    ]
    assert [answer.status_code for answer in answers] == [200, 422, 200, 404, 404, 404, 404, 405, 303, 200]
    for answer in answers:
        assert answer["Referrer-Policy"] == "no-referrer"
        assert answer["X-Robots-Tag"] == "noindex, nofollow, noarchive"
        assert answer["Cache-Control"] == "no-store"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["X-Frame-Options"] == "DENY"
        policy = answer["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "style-src 'self'" in policy
        assert "unsafe" not in policy


def test_text_of_any_kind_stays_text(crew: Crew) -> None:
    job = work.a_job(crew.owner, customer_id=work.a_customer(crew.owner, name=CANARY))
    finding = work.a_finding(crew.owner, job, words=CANARY, consequence=CANARY)
    quote = work.a_draft(crew.owner, job, note=CANARY)
    line = work.labor(words=CANARY, included=CANARY)
    do(crew.owner, put_quote_line, quote_id=quote, finding_id=finding, **line)
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    link = work.a_request(crew.owner, quote, name=CANARY)
    path, phone = work.path_of(crew.owner, link), customer_phone()
    said = choices(crew.owner, quote, "yes")
    pages = [
        phone.get(path),
        phone.post(path, {"step": "check", "name": CANARY, **said}),
        phone.post(path, {"step": "decide", "name": CANARY * 9, **said}),
        phone.post(f"{path}/question", {"words": " ", "name": CANARY}),
        phone.post(path, {"step": CANARY, f"line-{CANARY}": "yes", **said}),
    ]
    phone.post(path, {"step": "decide", "name": CANARY, **said})
    pages.append(phone.get(path))
    for page in pages:
        text = page.content.decode()
        assert "<img src=x" not in text
        assert "&lt;img src=x onerror=alert(1)&gt;&quot;&#x27;&amp;" in text


def test_what_was_found_and_the_price_later_are_read_and_stay_as_they_were_offered(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    finding = work.a_finding(crew.owner, job, words="Brushes are worn to the wire")
    quote = work.a_draft(crew.owner, job)
    line = work.labor(found="Brushes are worn to the wire", later_minor=20000)
    do(crew.owner, put_quote_line, quote_id=quote, finding_id=finding, **line)
    do(crew.owner, put_quote_line, quote_id=quote, **work.part())
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    path, phone = work.path_of(crew.owner, work.a_request(crew.owner, quote)), customer_phone()
    do(crew.owner, edit_finding, id=finding, base={"words": "Brushes are worn to the wire"}, set={"words": "Fine"})
    text = phone.get(path).content.decode()
    assert "<b>We found</b> Brushes are worn to the wire" in text
    assert "If done later: <b>$200.00</b>" in text
    # 200.00 and the part at 28.00 as now; this shop has neither tax nor supplies to put on top.
    then = '<th scope="row">Same work if done later</th><td>$228.00</td>'
    said = choices(crew.owner, quote, "yes", "yes")
    assert then in phone.post(path, {"step": "count", **said}).content.decode()
    said = choices(crew.owner, quote, "no", "yes")
    assert "Same work if done later" not in phone.post(path, {"step": "count", **said}).content.decode()


def test_only_pictures_of_the_findings_asked_about_are_shown(crew: Crew) -> None:
    _, _, path = asked(crew)
    other = work.a_picture(crew.owner, work.a_finding(crew.owner, work.a_job(crew.owner)))
    assert customer_phone().get(f"{path}/pictures/{other}/large").status_code == 404


def test_guessing_waits_and_keeps_nobody_out(crew: Crew) -> None:
    """Users of a mobile network may share an address, so one person's guesses must not block the others."""
    _, _, path = asked(crew)
    for _ in range(GUESS_MOST):
        assert customer_phone().get(f"/ask/{uuid7()}").status_code == 404
    locked = customer_phone().get(f"/ask/{uuid7()}")
    assert (locked.status_code, locked["Retry-After"]) == (429, "300")
    assert customer_phone().get(path).status_code == 200
    assert customer_phone().post(path, {"step": "count"}).status_code == 200
    assert customer_phone().get(f"/ask/{uuid7()}", REMOTE_ADDR="198.51.100.7").status_code == 404
    LoginAttempt.objects.update(at=now() - timedelta(minutes=6))
    assert customer_phone().get(f"/ask/{uuid7()}").status_code == 404


def test_a_flood_through_one_link_waits(crew: Crew) -> None:
    _, _, path = asked(crew)
    statuses = [customer_phone().post(path, {"step": "count"}).status_code for _ in range(62)]
    assert statuses == [200] * 60 + [429] * 2


def test_a_link_belongs_to_its_shop(crew: Crew) -> None:
    _, link, path = asked(crew)
    other = open_crew("Other Yard")
    assert Browser(other.owner).get(f"approval-links/{link}").status_code == 404
    assert Browser(other.owner).get(f"approval-links/{link}/address").status_code == 404
    foreign = work.an_offer(other.owner, work.a_job(other.owner))
    said = choices(other.owner, foreign, "yes", "yes")
    answer = customer_phone().post(path, {"step": "decide", "name": "W", **said})
    assert answer.status_code == 422
    with in_shop(other.shop_id):
        assert Quote.objects.get(id=foreign).state == "offered"
        assert not Approval.objects.exists()
    assert resolve(path).url_name == "ask"


# Who is first: real commits, real threads


@pytest.fixture
def busy(committed_db: None) -> Crew:
    return open_crew()


def all_at_once(*doings: Any) -> list[Any]:
    """Run all in threads that start together; their results, or the errors they ended with, in order."""
    start, results = threading.Barrier(len(doings)), [None] * len(doings)

    def run(place: int, doing: Any) -> None:
        start.wait()
        try:
            results[place] = doing()
        except Exception as error:  # noqa: BLE001 - the test looks at it
            results[place] = error  # type: ignore[call-overload] # the list takes answers and errors
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(doings)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return results


def test_of_twenty_answers_at_once_exactly_one_decides(busy: Crew) -> None:
    quote, _, path = asked(busy)
    first, second = choices(busy.owner, quote, "yes", "no"), choices(busy.owner, quote, "no", "yes")

    def answer(number: int) -> Any:
        said = first if number % 2 else second
        return lambda: customer_phone().post(path, {"step": "decide", "name": f"Customer {number}", **said}).status_code

    statuses = all_at_once(*(answer(number) for number in range(20)))
    assert sorted(statuses) == [303] + [409] * 19
    with in_shop(busy.shop_id):
        approval = Approval.objects.get()
        accepted = set(Line.objects.filter(decided="accepted").values_list("id", flat=True))
        assert (approval.matches, set(approval.accepted_ids)) == (True, accepted)
        assert AuditEvent.objects.filter(event="quote decided").count() == 1


@pytest.mark.parametrize("_round", range(3))
def test_a_customer_who_accepts_while_the_mechanic_revises_gets_one_or_the_other(busy: Crew, _round: int) -> None:
    quote, _, path = asked(busy)
    revision = work.a_quote(busy.mechanic, stored(busy, quote).job_id, replaces_id=quote)
    offer = work.offer_of(busy.mechanic, revision)
    said = {"step": "decide", "name": "W", **choices(busy.owner, quote, "yes", "yes")}
    status, offered = all_at_once(
        lambda: customer_phone().post(path, said).status_code, lambda: do(busy.mechanic, offer_quote, **offer).state
    )
    with in_shop(busy.shop_id):
        approvals = list(Approval.objects.values_list("matches", flat=True))
    assert offered == "offered"
    assert (status, approvals) in [(303, [True]), (409, [])]
    # Nothing is voided silently: an earlier answer counts until the revision is decided.
    first = "decided" if approvals else "replaced"
    assert [stored(busy, one).state for one in (quote, revision)] == [first, "offered"]
    assert re.search(r'href="/ask/[^"]+">See the newer quote', customer_phone().get(path).content.decode())


def test_an_answer_on_the_phone_without_signal_against_one_through_the_link(busy: Crew) -> None:
    quote, _, path = asked(busy)
    signed = work.decision_on(busy.mechanic, quote, accept=1)
    said = {"step": "decide", "name": "W", **choices(busy.owner, quote, "yes", "yes")}
    assert customer_phone().post(path, said).status_code == 303
    # The phone comes back into signal: its decision is kept as evidence and laid before people.
    assert do(busy.mechanic, decide_quote, **signed).matches is False
    with in_shop(busy.shop_id):
        assert Approval.objects.filter(matches=True).get().how == "link"
        assert Issue.objects.get().ours["anomaly"] == "not_on_offer"

    quote, _, path = asked(busy)
    do(busy.mechanic, decide_quote, **work.decision_on(busy.mechanic, quote, accept=1))
    said = {"step": "decide", "name": "W", **choices(busy.owner, quote, "yes", "yes")}
    late = customer_phone().post(path, said)
    assert (late.status_code, "Already answered" in late.content.decode()) == (409, True)


def test_a_request_goes_on_rest_and_from_the_queue_the_same(crew: Crew) -> None:
    quote = work.an_offer(crew.mechanic, work.a_job(crew.mechanic))
    body = {"id": str(uuid7()), "quote_id": str(quote), "channel": "sms", "address": "(555) 014-2210", "name": "W"}
    made = Browser(crew.mechanic).post("approval-links", body)
    assert made.status_code == 201
    assert (made.json()["revision"], made.json()["opened_count"], made.json()["used_at"]) == (1, 0, None)
    assert send_approval_request.name == "send_approval_request"


@pytest.mark.parametrize("answer", ["decided", "withdrawn"])
def test_nobody_is_to_send_a_request_that_needs_no_answer_any_more(crew: Crew, answer: str) -> None:
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    work.a_request(crew.owner, quote, channel="sms", address="(555) 014-2210", name="Winnie Stroud")
    with in_shop(crew.shop_id):
        assert Notice.objects.get().state == "by_hand"
    if answer == "decided":
        do(crew.owner, decide_quote, **work.decision_on(crew.owner, quote))
    else:
        do(crew.owner, withdraw_quote, id=quote)
    with in_shop(crew.shop_id):
        assert Notice.objects.get().state == "withheld"
