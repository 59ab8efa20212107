"""What every paper of a shop has in common: who it is for, the machine, widths of columns, remarks beside the sums."""

from collections.abc import Sequence
from dataclasses import dataclass

from shopapi.core.languages import Texts
from shopapi.customers.rules.customer import place_lines
from shopapi.quotes.rules.pdf.decision import Fact
from shopapi.quotes.rules.pdf.facts import CustomerFacts, MachineFacts, SiteFacts

ROOM_BESIDE = 420
LINE_BESIDE = 55
"""How many characters fit beside the sums without making the page longer, and how many fit on one line there."""


LETTER_REM = 0.6
"""Width of a letter or digit of an amount in em; bold digits take 0.54, the capitals of a currency more."""


@dataclass(frozen=True, slots=True)
class Party:
    """One of: the customer, the site, the machine."""

    title: str
    name: str
    lines: tuple[str, ...]
    is_machine: bool = False


REM_MM = 3.175
"""A rem is 9 pt at least."""


def wide_enough(amounts: Sequence[str], *, least_mm: int, letter_rem: float, padding_mm: int = 0) -> str:
    """The CSS width of a column in which none of these amounts is wrapped; `padding_mm`: what the column keeps free."""
    wanted = max(map(len, amounts), default=0) * letter_rem + padding_mm / REM_MM
    return f"{least_mm}mm" if wanted * REM_MM <= least_mm else f"{wanted:.2f}rem"


def short_digest(digest: str) -> str:
    """The first eight digits of a digest in two groups, for reading out: "3f9a 61c2"."""
    return f"{digest[:4]} {digest[4:8]}"


def filled(*texts: str) -> tuple[str, ...]:
    """The texts that are not empty, trimmed."""
    return tuple(text.strip() for text in texts if text.strip())


def one_line(address: str) -> str:
    """The lines of an address as one, with commas between them."""
    return ", ".join(filled(*(line.rstrip(" ,") for line in address.splitlines())))


def parties_of(
    shown: tuple[str, str],
    *,
    customer: CustomerFacts,
    site: SiteFacts | None,
    machine: MachineFacts | None,
    texts: Texts,
) -> tuple[Party, ...]:
    """Who the paper is for, where the machine is, and the machine. `shown`: customer and machine as they were shown."""
    customer_name, machine_name = shown
    reach = filled(customer.person, one_line(customer.address), customer.phone, customer.email)
    parties = [Party(texts["for"], customer_name, reach)]
    if site:
        where = [one_line(line) for line in place_lines(site.label, site.address)]
        parties.append(Party(texts["machine_location"], where[0], filled(*where[1:])))
    if machine:
        parties.append(Party(texts["machine"], machine_name, _machine_lines(machine, texts), is_machine=True))
    return tuple(parties)


def _machine_lines(machine: MachineFacts, texts: Texts) -> tuple[str, ...]:
    made = (
        texts.say("year", year=machine.year) if machine.year else "",
        texts.say("tag", tag=machine.tag) if machine.tag else "",
    )
    engine = (
        " ".join(filled(machine.engine_make, machine.engine_model)),
        texts.say("serial", serial=machine.engine_serial) if machine.engine_serial else "",
    )
    return filled(
        ", ".join(filled(*made)),
        texts.say("engine", engine=", ".join(filled(*engine))) if any(engine) else "",
    )


def remarks_beside(texts: Texts, note: str, terms: str) -> tuple[tuple[Fact, ...], tuple[Fact, ...]]:
    """The note and the terms: beside the sums if they fit there, else below them."""
    beside: list[Fact] = []
    below: list[Fact] = []
    room = ROOM_BESIDE
    for label, text in ((texts["note"], note.strip()), (texts["terms"], terms.strip())):
        if not text:
            continue
        room -= len(text) + LINE_BESIDE * (1 + text.count("\n"))
        (beside if room >= 0 else below).append(Fact(label, text))
    return tuple(beside), tuple(below)
