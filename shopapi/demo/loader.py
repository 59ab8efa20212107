"""Loads the demo shop into an empty installation, in the order of its events, through services alone."""

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from functools import partial
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from shopapi.accounts.queries import actor_of, shop_of, system_actor
from shopapi.accounts.rules import FirstShop, NewDevice, NewInvitation, Role, ShopFields
from shopapi.accounts.services.devices import register_device
from shopapi.accounts.services.invitations import join_at_once
from shopapi.core import clock
from shopapi.core.actor import Actor
from shopapi.core.commands import Command
from shopapi.core.feed import lock_shop
from shopapi.core.ids import VARIANT, VERSION
from shopapi.core.schema import Edit, parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.customers.services import add_customer, add_site
from shopapi.demo import signatures
from shopapi.demo.money import bill
from shopapi.demo.opening import book_of, set_up_shop
from shopapi.demo.parts import FITTED_FROM, create_parts, fit_parts
from shopapi.demo.runs import create_runs
from shopapi.demo.scenario import (
    AcknowledgementFixture,
    DecisionFixture,
    JobFixture,
    Person,
    QuoteFixture,
    Scenario,
    moments,
)
from shopapi.demo.sheets import SERVICED, create_services, create_sheets
from shopapi.demo.time_entries import ClockedPeriod, clock_work, operation_of
from shopapi.jobs.models import Job
from shopapi.jobs.rules import Stage
from shopapi.jobs.services import acknowledge_finding, add_complaint, move_job, open_job, record_finding
from shopapi.labor.rules.entry import ClockedElsewhere
from shopapi.labor.services.clock import import_entries
from shopapi.labor.services.history import rebuild_history
from shopapi.machines.rules import machine_text
from shopapi.machines.services import add_machine, record_meter
from shopapi.quotes.rules import Discount, QuoteLine, ShopPrices, basis_on, json_digest, offer_document
from shopapi.quotes.rules.lines import is_asked
from shopapi.quotes.rules.schemas import Shown
from shopapi.quotes.services.decisions import decide_quote
from shopapi.quotes.services.drafts import (
    draft_quote,
    edit_quote,
    lapse_quotes,
    offer_quote,
    put_quote_line,
    withdraw_quote,
)
from shopapi.quotes.services.shop import edit_shop, open_first_shop

# The path of a job to each stage.
_FORWARD = (Stage.DIAGNOSIS, Stage.REPAIR, Stage.TESTING, Stage.READY, Stage.RETURNED, Stage.CLOSED)
WAY: dict[Stage, tuple[Stage, ...]] = {
    Stage.INTAKE: (),
    Stage.CANCELLED: (Stage.DIAGNOSIS, Stage.CANCELLED),
    **{stage: _FORWARD[: at + 1] for at, stage in enumerate(_FORWARD)},
}
BILLED_FROM = (Stage.READY, Stage.RETURNED, Stage.CLOSED)
_LOOKING = timedelta(minutes=20)
_WRITING = timedelta(minutes=8)
_THINKING = timedelta(hours=3)

Event = tuple[datetime, Callable[[], None]]


def load_scenario(story: Scenario, *, today: date) -> None:
    """Load the demo shop, its last day being the day before `today`, in one transaction.

    Raises Conflict `shop_exists` where there is a shop already.
    """
    with transaction.atomic():
        loader = _Loader.open_shop(story, today)
        shop_id = loader.actors["owner"].shop_id
        # One write lock for the whole scenario, not one per command.
        with in_shop(shop_id):
            lock_shop(shop_id)
            loader.load_events()
            loader.load_runs(today)
            # The days since, in which some offers ran out.
            lapse_quotes(actor=system_actor(shop_id), today=today)
            rebuild_history(actor=system_actor(shop_id))


def stable_id(kind: str, key: str, at: datetime) -> UUID:
    """The same UUIDv7 for the same thing of the scenario at the same time."""
    drawn = int.from_bytes(hashlib.sha256(f"{kind}/{key}".encode()).digest()[:10], "big")
    low = VERSION | (drawn >> 68) << 64 | VARIANT | drawn & (1 << 62) - 1
    return UUID(int=int(at.timestamp() * 1000) << 80 | low)


@dataclass
class _Loader:
    """The state of loading: actors, the shift in days, what was created and shown."""

    story: Scenario
    moved: timedelta
    zone: ZoneInfo
    actors: dict[str, Actor]
    book: ShopPrices
    customers: dict[str, UUID] = field(default_factory=dict)
    machines: dict[str, tuple[UUID, UUID]] = field(default_factory=dict)
    sites: dict[str, UUID] = field(default_factory=dict)
    offered: dict[UUID, str] = field(default_factory=dict)

    @classmethod
    def open_shop(cls, story: Scenario, today: date) -> "_Loader":
        """Open the shop with its members, their devices and its price book."""
        opening, moved = story.opening, today - timedelta(days=1) - story.newest
        zone = ZoneInfo(opening.shop["zone"])
        start = datetime.combine(story.jobs[0].opened_at.date() + moved, time(), zone)
        owner, *others = opening.members
        signed_in = {"name": owner.name, "email": owner.email, "password": opening.password}
        named = {"shop_name": opening.shop["name"], "zone": zone.key, "currency": opening.shop["currency"]}
        actor = open_first_shop(data=parse(FirstShop, named | signed_in))
        actors: dict[str, Actor] = {owner.key: actor}
        for member in others:
            member_id = stable_id("member", member.key, start)
            fields = {"id": str(member_id), **member.model_dump(exclude={"key"})}
            join_at_once(actor=actor, data=parse(NewInvitation, fields), password=opening.password)
            actors[member.key] = actor_of(actor.shop_id, member_id, Role(member.role), may_see_cost=False)
        # In the order of the device letters in the scenario's marks: A, B, C.
        for key in ("owner", "mechanic", "office"):
            device = NewDevice(id=stable_id("device", key, start), label=f"Demo, {key}")
            register_device(actor=actors[key], data=device)
            actors[key] = replace(actors[key], device_id=device.id)
        book = book_of(opening.book, {key: one.member_id for key, one in actors.items() if one.member_id}, moved)
        settings = {key: value for key, value in opening.shop.items() if key not in ("name", "zone", "currency")}
        set_up_shop(actor, settings, book)
        return cls(story, moved, zone, actors, book)

    def load_events(self) -> None:
        """Create customers and machines, then the events in order of time."""
        for person in self.story.people:
            self._add_person(person)
        newest = self._instant(datetime.combine(self.story.newest, time()))
        create_sheets(self._do, stable_id, newest)
        create_services(self._do, stable_id, self.machines[SERVICED][1], newest)
        events = [event for job in self.story.jobs for event in self._events_of(job)]
        # Jobs of the past have their messages behind them: nobody is to send one now.
        self._notify_ready(on=False)
        for at, happen in sorted(events, key=lambda event: event[0]):
            with clock.held_at(at):
                happen()
        self._notify_ready(on=True)
        last = self._instant(datetime.combine(self.story.newest, time(17)))
        with clock.held_at(last):
            create_parts(self._do, stable_id, mechanic_id=self.actors["mechanic"].member_id, at=last)
        import_entries(actor=self.actors["owner"], data=[self._entry(one) for one in clock_work(self.story)])

    def _notify_ready(self, *, on: bool) -> None:
        owner = self.actors["owner"]
        base = {"follow_ups": to_json(shop_of(owner).follow_ups)}
        wanted = {"follow_ups": {**base["follow_ups"], "notify_ready": on}}
        edit_shop.within(actor=owner, data=Edit[ShopFields](id=owner.shop_id, base=base, set=wanted))

    def load_runs(self, today: date) -> None:
        """Create rigs and stops: a run that was driven, today's plan, tomorrow's stops."""
        drivers = [found for key in ("mechanic", "owner") if (found := self.actors[key].member_id)]
        shop_id = self.actors["owner"].shop_id
        create_runs(self._do, stable_id, shop_id=shop_id, drivers=drivers, zone=self.zone, today=today)

    def _instant(self, local: datetime) -> datetime:
        return (local + self.moved).replace(tzinfo=self.zone)

    def _do(self, who: str, command: Command[Any, Any], **args: object) -> Any:
        """Run one command with plain values, as the phone would send it."""
        return command.within(actor=self.actors[who], data=parse(command.schema, to_json(args)))

    def _entry(self, period: ClockedPeriod) -> ClockedElsewhere:
        work, actor = period.work, self.actors[period.work.who]
        started_at = self._instant(period.started_at)
        line_id = None
        if work.job is not None and work.line is not None:
            line_id = self._line_id(work.job, *work.line)
        plainly = {
            "id": stable_id("time", f"{work.who}/{period.started_at}", started_at),
            "member_id": actor.member_id,
            "device_id": actor.device_id,
            "kind": work.kind,
            "job_id": None if work.job is None else self._id_of(work.job, "job"),
            "operation": work.operation,
            "line_id": line_id,
            "cause": work.cause,
            "started_at": started_at,
            "ended_at": self._instant(period.ended_at),
        }
        return parse(ClockedElsewhere, to_json(plainly))

    def _add_person(self, person: Person) -> None:
        first = min(
            (job.opened_at for job in self.story.jobs if job.machine in {machine.key for machine in person.machines}),
            default=self.story.jobs[0].opened_at,
        )
        at = self._instant(first - timedelta(minutes=12))
        customer_id = self.customers[person.key] = stable_id("customer", person.key, at)
        fields = person.model_dump(exclude={"key", "sites", "machines"})
        self._do("office", add_customer, id=customer_id, **fields)
        for site in person.sites:
            site_id = self.sites[site.key] = stable_id("site", site.key, at)
            self._do("office", add_site, id=site_id, customer_id=customer_id, **site.model_dump(exclude={"key"}))
        for machine in person.machines:
            machine_id = stable_id("machine", machine.key, at)
            self.machines[machine.key] = (customer_id, machine_id)
            known = machine.model_dump(exclude={"key", "readings"})
            self._do("office", add_machine, id=machine_id, customer_id=customer_id, **known)
            for count, reading in enumerate(machine.readings):
                on = reading.on + self.moved
                self._do(
                    "mechanic",
                    record_meter,
                    id=stable_id("reading", f"{machine.key}/{count}", at),
                    machine_id=machine_id,
                    hours=reading.hours,
                    read_on=on,
                    new_segment=reading.new_segment,
                )

    def _events_of(self, job: JobFixture) -> Iterator[Event]:
        yield self._instant(job.opened_at), partial(self._open, job)
        if job.quotes:
            looked = max(job.opened_at, job.moment(job.quotes[0].at) - _LOOKING)
            yield self._instant(looked), partial(self._find, job)
        for count, quote in enumerate(job.quotes):
            shown = self._instant(job.moment(quote.at))
            yield shown - _WRITING, partial(self._draft, job, count)
            if quote.offered is not None:
                yield shown, partial(self._offer, job, count)
            if quote.decision is not None:
                yield (
                    self._instant(job.moment(quote.decision)),
                    partial(self._decide, job, quote.decision, count),
                )
            if quote.state == "withdrawn":
                yield shown + _THINKING, partial(self._withdraw, job, count)
        for count, finding in enumerate(job.findings):
            if finding.acknowledged is not None:
                at = self._instant(job.moment(finding.acknowledged))
                yield at, partial(self._acknowledge, job, count, finding.acknowledged)
        yield self._instant(max(moments(job))), partial(self._move, job)

    def _id_of(self, job: JobFixture, kind: str, count: int = 0) -> UUID:
        """The id of the job, or of its n-th finding, quote and so on."""
        local = job.moment(job.quotes[count].at) if kind == "quote" else job.opened_at
        return stable_id(kind, f"{job.mark}/{count}", self._instant(local))

    def _open(self, job: JobFixture) -> None:
        customer_id, machine_id = self.machines[job.machine]
        promised = None
        if job.promised_day is not None:
            promised = self._instant(job.opened_at).date() + timedelta(days=job.promised_day)
        self._do(
            job.taken_by,
            open_job,
            id=self._id_of(job, "job"),
            customer_id=customer_id,
            machine_id=machine_id,
            site_id=None if job.site is None else self.sites[job.site],
            promised_on=promised,
            notes=job.notes,
            mark=job.mark,
            comeback_of_id=self._first_job(job),
        )
        for count, said in enumerate(job.complaints):
            args = {
                "id": self._id_of(job, "complaint", count),
                "job_id": self._id_of(job, "job"),
                **to_json(said),
            }
            self._do(job.taken_by, add_complaint, **args)

    def _first_job(self, job: JobFixture) -> UUID | None:
        """The earlier job whose work a job has to do again."""
        if job.comeback_of is None:
            return None
        return self._id_of(next(one for one in self.story.jobs if one.mark == job.comeback_of), "job")

    def _find(self, job: JobFixture) -> None:
        for count, found in enumerate(job.findings):
            args = {
                "id": self._id_of(job, "finding", count),
                "job_id": self._id_of(job, "job"),
                **found.model_dump(mode="json", exclude={"acknowledged"}),
            }
            self._do(job.by, record_finding, **args)

    def _acknowledge(self, job: JobFixture, count: int, said: AcknowledgementFixture) -> None:
        self._do(
            job.by,
            acknowledge_finding,
            id=self._id_of(job, "acknowledgement", count),
            finding_id=self._id_of(job, "finding", count),
            finding_words=job.findings[count].words,
            acknowledged_by_name=said.name,
            acknowledged_at=clock.now(),
            **said.model_dump(mode="json", include={"how", "protection_lost", "note"}),
        )

    def _move(self, job: JobFixture) -> None:
        job_id = self._id_of(job, "job")
        if job.stage in FITTED_FROM:
            fit_parts(self._do, who=job.by, job_id=job_id, at=clock.now())
        for stage in WAY[job.stage]:
            self._do(job.by, move_job, id=job_id, stage=stage)
        basis = basis_on(self.book, clock.now().astimezone(self.zone).date())
        if job.stage in BILLED_FROM and basis is not None:
            row = Job.objects.get(shop=self.actors["owner"].shop_id, id=job_id)
            bill(self._do, stable_id, job=row, basis=basis, at=clock.now().astimezone(self.zone))

    def _draft(self, job: JobFixture, count: int) -> None:
        quote, quote_id = job.quotes[count], self._id_of(job, "quote", count)
        self._do(
            job.by,
            draft_quote,
            id=quote_id,
            job_id=self._id_of(job, "job"),
            kind=quote.kind,
            mark=f"{job.mark}-{count + 1}",
            basis=self._basis(job, quote),
            note=quote.note,
            replaces_id=None if quote.replaces is None else self._id_of(job, "quote", quote.replaces),
        )
        for line, quote_line in zip(self._lines(job, count), quote.lines, strict=True):
            finding = quote_line.finding
            self._do(
                job.by,
                put_quote_line,
                quote_id=quote_id,
                finding_id=None if finding is None else self._id_of(job, "finding", finding),
                **to_json(line),
            )
        if quote.discount:
            discount = parse(Discount, quote.discount)
            self._do(job.by, edit_quote, id=quote_id, base={"discount": Discount()}, set={"discount": discount})

    def _lines(self, job: JobFixture, count: int) -> list[QuoteLine]:
        lines = []
        for position, line in enumerate(job.quotes[count].lines):
            values = line.model_dump(exclude={"finding", "member"})
            values["id"] = self._line_id(job, count, position)
            values["position"] = position
            if line.kind == "labor":
                values["operation"] = operation_of(line.words) or None
            if line.finding is not None:
                values["rank"] = line.rank or job.findings[line.finding].rank
            if line.member is not None:
                values["member_id"] = self.actors[line.member].member_id
            lines.append(parse(QuoteLine, to_json(values)))
        return lines

    def _line_id(self, job: JobFixture, count: int, position: int) -> UUID:
        shown = self._instant(job.moment(job.quotes[count].at))
        return stable_id("line", f"{job.mark}/{count}/{position}", shown)

    def _basis(self, job: JobFixture, quote: QuoteFixture) -> ShopPrices:
        basis = basis_on(self.book, self._instant(job.moment(quote.at)).date())
        if basis is None:
            raise ValueError(f"no tax profile holds on the day of a quote of {job.mark}")
        return basis

    def _offer(self, job: JobFixture, count: int) -> None:
        """Offer the quote as the phone does: calculate it locally and send what was shown."""
        quote, quote_id = job.quotes[count], self._id_of(job, "quote", count)
        person, machine = next((p, m) for p in self.story.people for m in p.machines if m.key == job.machine)
        shown = Shown(
            shop=self.story.opening.shop["name"],
            customer=person.name,
            machine=machine_text(kind=machine.kind, make=machine.make, model=machine.model, serial=machine.serial),
            exempt=person.tax_exempt,
        )
        today = clock.now().astimezone(self.zone).date()
        document = offer_document(
            quote_id=quote_id,
            revision=_revision(job, count),
            kind=quote.kind,
            shop_name=shown.shop,
            customer_name=shown.customer,
            machine=shown.machine,
            book=self._basis(job, quote),
            lines=self._lines(job, count),
            discount=parse(Discount, quote.discount),
            exempt=shown.exempt,
            valid_until=today + timedelta(days=quote.valid_days or self.book.valid_days),
        )
        self.offered[quote_id] = json_digest(document)
        self._do(
            job.by,
            offer_quote,
            id=quote_id,
            valid_until=document["valid_until"],
            digest=self.offered[quote_id],
            total_minor=document["total_minor"],
            shown=shown,
        )

    def _decide(self, job: JobFixture, decision: DecisionFixture, count: int) -> None:
        quote_id, key = self._id_of(job, "quote", count), f"{job.mark}/{count}"
        lines = self._lines(job, count)
        asked = [line.id for line in lines if is_asked(line)]
        taken = asked if decision.accepted == "all" else [lines[at].id for at in decision.accepted]
        signature = None
        if decision.how == "glass":
            signature = {
                "id": stable_id("signature", key, clock.now()),
                "strokes": signatures.sign(decision.name),
                "width": signatures.WIDTH,
                "height": signatures.HEIGHT,
            }
        self._do(
            "office" if decision.how == "link" else job.by,
            decide_quote,
            id=stable_id("approval", key, clock.now()),
            quote_id=quote_id,
            revision=_revision(job, count),
            how=decision.how,
            decided_by_name=decision.name,
            decided_at=clock.now(),
            zone=self.zone.key,
            digest=self.offered[quote_id],
            accepted_ids=taken,
            declined_ids=[line_id for line_id in asked if line_id not in taken],
            note=decision.note,
            signature=signature,
        )

    def _withdraw(self, job: JobFixture, count: int) -> None:
        self._do(job.by, withdraw_quote, id=self._id_of(job, "quote", count))


def _revision(job: JobFixture, count: int) -> int:
    replaced = job.quotes[count].replaces
    return 1 if replaced is None else _revision(job, replaced) + 1
