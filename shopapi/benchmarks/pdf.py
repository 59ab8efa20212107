"""`benchmark pdf`: the memory of a running worker while it makes 1,000 PDFs, and the time of each."""

import time
from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

from shopapi.accounts.queries import every_shop, system_actor
from shopapi.benchmarks.recorder import Recorder
from shopapi.core.actor import Actor
from shopapi.core.schema import Target
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Quote
from shopapi.quotes.services.drafts import remake_pdf

MARKS = (100, 500, 1_000)
LONGEST_SECONDS = 60
# A worker that has just started may have other work to do first.
FIRST_SECONDS = 300
PROCESSES = Path("/proc")


class NothingToMeasure(Exception):
    """No worker runs here, no quote is on offer, or this system has no /proc; the message says which."""


def measure_pdf(figures: Recorder, pid_file: Path, pdfs: int) -> None:
    """Make so many PDFs of one offered quote by the worker that holds `pid_file`; memory after 0, 100, 500, 1,000.

    Memory is that of the worker with all its children, shared pages counted once (Pss), in MB.
    """
    group = _group_of(pid_file)
    actor, quote_id = _an_offer()
    _make_one(actor, quote_id, FIRST_SECONDS)
    figures.add("memory_at_start", [memory_of(group)], "MB")
    children: set[int] = set()
    seconds: list[float] = []
    for made in range(1, pdfs + 1):
        seconds.append(_make_one(actor, quote_id))
        children |= {process for process in processes_of(group) if process != group}
        if made in MARKS or made == pdfs:
            figures.add(f"memory_after_{made}", [memory_of(group)], "MB")
    figures.add("one_pdf", [second * 1000 for second in seconds], "ms")
    figures.add("children_used", [len(children)], "processes")


def memory_of(group: int) -> float:
    """The memory of a process group in MB, its shared pages counted once."""
    kib = 0
    for process in processes_of(group):
        try:
            lines = (PROCESSES / str(process) / "smaps_rollup").read_text().splitlines()
        except OSError:
            continue  # It ended since it was listed.
        kib += sum(int(line.split()[1]) for line in lines if line.startswith("Pss:"))
    return kib * 1024 / 1_000_000


def processes_of(group: int) -> Iterator[int]:
    """The processes of a group, by number."""
    for stat in PROCESSES.glob("[0-9]*/stat"):
        try:
            # The name in brackets may hold anything; then come state, parent, group (proc_pid_stat(5)).
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[2]) == group:
            yield int(stat.parent.name)


def _group_of(pid_file: Path) -> int:
    if not PROCESSES.is_dir():
        raise NothingToMeasure("This system has no /proc to read a worker's memory from.")
    if not pid_file.exists():
        raise NothingToMeasure(f"No worker runs here: there is no {pid_file}. Start one with manage.py up.")
    return int(pid_file.read_text())


def _an_offer() -> tuple[Actor, UUID]:
    for shop_id in every_shop():
        with in_shop(shop_id):
            quote = Quote.objects.filter(shop_id=shop_id).exclude(offer_digest=None).exclude(number=None).first()
        if quote is not None:
            return system_actor(shop_id), quote.id
    raise NothingToMeasure("No shop has an offered quote: run load_demo first.")


def _make_one(actor: Actor, quote_id: UUID, longest: float = LONGEST_SECONDS) -> float:
    began = time.perf_counter()
    remake_pdf(actor=actor, data=Target(id=quote_id))
    while time.perf_counter() - began < longest:
        with in_shop(actor.shop_id):
            quote = Quote.objects.get(id=quote_id)
        if quote.pdf_state == "ready":
            return time.perf_counter() - began
        time.sleep(0.01)
    raise NothingToMeasure(f"The worker made no PDF within {longest} s.")
