"""The demo scenario is consistent and complete, and its texts are plausible."""

import json
import re
from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from shopapi.core.schema import parse
from shopapi.demo import signatures
from shopapi.demo.scenario import JobFixture, QuoteFixture, Scenario, moments, read_scenario
from shopapi.demo.time_entries import CLOSES, OPENS, clock_work
from shopapi.jobs.rules import Stage
from shopapi.labor.rules.entry import EntryKind
from shopapi.quotes.rules import QUOTE_TRANSITIONS, QuoteLine, ShopPrices, basis_on, check_book, check_lines
from shopapi.quotes.rules.schemas import Ink

FOLDER = Path(__file__).parents[2] / "fixtures" / "demo"


@pytest.fixture(scope="module")
def story() -> Scenario:
    return read_scenario(FOLDER)


@pytest.fixture(scope="module")
def book(story: Scenario) -> ShopPrices:
    content = json.loads(json.dumps(story.opening.book))
    for rate in content["labor_rates"]:
        rate["member_id"] = rate["member_id"] and str(UUID(int=1))
    return parse(ShopPrices, content)


def quotes(story: Scenario) -> Iterator[tuple[JobFixture, QuoteFixture]]:
    for job in story.jobs:
        for quote in job.quotes:
            yield job, quote


def lines(job: JobFixture, quote: QuoteFixture) -> list[QuoteLine]:
    """The lines as the rules expect them, with consecutive ids."""
    found: list[dict[str, Any]] = []
    for position, line in enumerate(quote.lines):
        values = line.model_dump(mode="json", exclude={"finding", "member"})
        values |= {"id": str(UUID(int=position)), "position": position}
        values["rank"] = line.rank or job.findings[line.finding or 0].rank
        found.append(values)
    return [parse(QuoteLine, values) for values in found]


def test_scenario_covers_every_state(story: Scenario) -> None:
    assert len(story.opening.members) == 3
    assert len(story.people) == 40
    assert sum(len(person.machines) for person in story.people) == 60
    assert len(story.jobs) == 80
    assert {job.stage for job in story.jobs} == set(Stage)
    assert {quote.state for _, quote in quotes(story)} == set(QUOTE_TRANSITIONS)
    assert {quote.kind for _, quote in quotes(story)} == {"first", "added"}
    decisions = [quote.decision for _, quote in quotes(story) if quote.decision]
    assert {decision.how for decision in decisions} == {"glass", "link", "call", "in_person"}
    how_much = Counter(
        "full"
        if decision.accepted == "all" or len(decision.accepted) == len(quote.lines)
        else "partial"
        if decision.accepted
        else "none"
        for _, quote in quotes(story)
        if (decision := quote.decision)
    )
    assert min(how_much[key] for key in ("full", "partial", "none")) >= 2
    assert {found.rank for job in story.jobs for found in job.findings} == {"safety", "needed", "advised"}
    assert {line.kind for _, quote in quotes(story) for line in quote.lines} >= {
        "labor",
        "part",
        "travel",
        "fee",
        "discount",
    }


def test_a_decision_belongs_to_a_decided_quote(story: Scenario) -> None:
    for job, quote in quotes(story):
        assert (quote.decision is not None) == (quote.state == "decided"), job.mark
        if quote.decision is not None and quote.decision.accepted != "all":
            assert len({*quote.decision.accepted}) == len(quote.decision.accepted)
            assert {UUID(int=at) for at in quote.decision.accepted} <= {line.id for line in lines(job, quote)}, job.mark


def test_references_exist(story: Scenario) -> None:
    customers = {machine.key: person for person in story.people for machine in person.machines}
    sites = {site.key: person for person in story.people for site in person.sites}
    everything = [person.key for person in story.people] + list(customers) + list(sites)
    assert len(everything) == len(set(everything)) == 40 + 60 + len(sites)
    assert len({job.mark for job in story.jobs}) == len(story.jobs)
    for job in story.jobs:
        assert job.site is None or sites[job.site] is customers[job.machine], job.mark
        assert (job.stage is Stage.INTAKE) or job.findings, job.mark
        first = next((one for one in story.jobs if one.mark == job.comeback_of), None)
        assert (first is None) == (job.comeback_of is None), job.mark
        assert first is None or (first.machine, first.opened_at < job.opened_at) == (job.machine, True), job.mark
        for count, quote in enumerate(job.quotes):
            assert quote.replaces is None or job.quotes[quote.replaces].state == "replaced", job.mark
            assert quote.replaces is None or quote.replaces < count, job.mark
            for line in quote.lines:
                assert line.finding is None or line.finding < len(job.findings), job.mark
                assert line.finding is not None or line.rank is not None, job.mark
    replaced = sum(quote.state == "replaced" for _, quote in quotes(story))
    assert replaced == sum(quote.replaces is not None for _, quote in quotes(story))


def test_time_runs_forward_over_two_seasons(story: Scenario) -> None:
    assert story.newest == story.opening.anchor - timedelta(days=1)
    opened = [job.opened_at for job in story.jobs]
    assert opened == sorted(opened)
    assert {at.year for at in opened} == {2025, 2026}
    assert timedelta(days=420) < opened[-1] - opened[0] < timedelta(days=730)
    for job in story.jobs:
        assert min(moments(job)) == job.opened_at, job.mark
        times = [job.moment(quote.at) for quote in job.quotes]
        assert times == sorted(times), job.mark
        assert all(at - job.opened_at > timedelta(minutes=8) for at in times), job.mark
        for quote in job.quotes:
            if quote.decision is not None:
                assert job.moment(quote.decision) > job.moment(quote.at), job.mark


def test_spring_is_the_busy_time(story: Scenario) -> None:
    by_month = Counter(job.opened_at.month for job in story.jobs)
    assert sum(by_month[month] for month in (3, 4, 5)) > len(story.jobs) / 2
    assert sum(by_month[month] for month in (12, 1, 2)) < len(story.jobs) / 8


def test_offers_still_stand_the_day_after_and_lapsed_ones_do_not(story: Scenario, book: ShopPrices) -> None:
    for job, quote in quotes(story):
        last_day = job.moment(quote.at).date() + timedelta(days=quote.valid_days or book.valid_days)
        if quote.state == "offered":
            assert last_day >= story.opening.anchor, job.mark
        if quote.state == "lapsed":
            assert last_day < story.opening.anchor, job.mark
        if quote.decision is not None:
            assert job.moment(quote.decision).date() <= last_day, job.mark


def test_every_quote_has_totals(story: Scenario, book: ShopPrices) -> None:
    assert check_book(book) == []
    profiles = set()
    for job, quote in quotes(story):
        basis = basis_on(book, job.moment(quote.at).date())
        assert basis is not None
        assert check_lines(basis, lines(job, quote)) == [], job.mark
        profiles.add(basis.tax_profiles[0].key)
    assert profiles == {profile.key for profile in book.tax_profiles}
    assert len(profiles) == 2


def words_in(value: object) -> Iterator[str]:
    """Every text, at any depth."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from words_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from words_in(inner)


def test_nothing_is_called_safe_or_legal() -> None:
    for name in ("shop", "customers", "jobs"):
        for text in words_in(json.loads((FOLDER / f"{name}.json").read_text("utf-8"))):
            assert not re.search(r"\b(un)?safe(ly)?\b|\b(il)?legal(ly)?\b", text, re.IGNORECASE), text


def test_texts_are_unique(story: Scenario) -> None:
    """Customers and findings are unique; names of parts and work may repeat."""
    said = Counter(complaint.words for job in story.jobs for complaint in job.complaints)
    found = Counter(finding.words for job in story.jobs for finding in job.findings)
    noted = Counter(
        text for person in story.people for text in (person.notes, *(s.access_notes for s in person.sites)) if text
    )
    for counts in (said, found, noted):
        assert max(counts.values()) == 1, counts.most_common(3)
    worked = Counter(line.words for _, quote in quotes(story) for line in quote.lines if line.kind == "labor")
    assert max(worked.values()) <= 4, worked.most_common(5)


def test_numbers_and_addresses_are_invented(story: Scenario) -> None:
    """Area code 555 is unassigned; `.example` is reserved by RFC 2606 section 2 (both from memory)."""
    for person in story.people:
        assert not person.phone or re.sub(r"\D", "", person.phone).removeprefix("1").startswith("555014"), person.key
        assert not person.email or person.email.endswith(".example"), person.key


def test_signatures_are_stable_and_fit_the_box(story: Scenario) -> None:
    signed = {quote.decision.name for _, quote in quotes(story) if quote.decision and quote.decision.how == "glass"}
    drawn = {name: signatures.sign(name) for name in signed}
    assert len({json.dumps(strokes) for strokes in drawn.values()}) == len(signed)
    for name, strokes in drawn.items():
        assert signatures.sign(name) == strokes
        fields = {"id": str(UUID(int=1)), "strokes": strokes, "width": signatures.WIDTH, "height": signatures.HEIGHT}
        assert parse(Ink, fields).strokes == strokes
        times = [point[2] for stroke in strokes for point in stroke]
        assert times == sorted(times)
        xs = [point[0] for stroke in strokes for point in stroke]
        ys = [point[1] for stroke in strokes for point in stroke]
        assert 500 <= min(xs) < max(xs) <= 9_500, name
        assert 500 <= min(ys) < max(ys) <= 9_500, name


def test_time_entries_do_not_overlap_and_are_by_day(story: Scenario) -> None:
    entries = clock_work(story)
    assert clock_work(story) == entries
    assert {entry.work.kind for entry in entries} == set(EntryKind)
    assert {entry.work.who for entry in entries} == {"mechanic", "owner"}
    for who in ("mechanic", "owner"):
        own = [entry for entry in entries if entry.work.who == who]
        assert all(one.ended_at <= other.started_at for one, other in pairwise(own))
    for entry in entries:
        assert entry.started_at < entry.ended_at
        assert entry.started_at.time() >= OPENS
        assert entry.ended_at.time() <= CLOSES
        assert entry.started_at.weekday() < 6
    operations = Counter(entry.work.operation for entry in entries if entry.work.operation)
    assert operations.most_common(1)[0][1] >= 9
