"""What the sheet of a run and a sheet of tags say, word for word."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from shopapi.documents.rules import Figures

KINDS: Mapping[str, str] = {"pickup": "Fetch", "return": "Bring back", "visit": "Work there"}
NEEDS: Mapping[str, str] = {"winch": "winch", "ramp": "ramp", "two_people": "two people"}
CAUTIONS = (
    "Figures come of what was entered. Weigh it if in doubt; check local law and the maker's book.",
    "Chock the wheels, parking brake on, key out, attachment down, before you tie it down or walk away.",
)


@dataclass(frozen=True)
class SheetStop:
    """A stop in plain figures, as a run has it."""

    kind: str
    job: str
    machine: str
    customer: str
    phone: str
    place: str
    address: str
    access: str
    notes: str
    needs: Sequence[str]
    trip: int
    arrives_from: datetime | None
    arrives_to: datetime | None
    state: str


@dataclass(frozen=True)
class StopSection:
    """One stop on paper; `number` counts over the whole run. `trip` is said where one begins after the first."""

    trip: str
    number: int
    title: str
    when: str
    customer: str
    phone: str
    lines: tuple[str, ...]
    access: str
    notes: str
    needs: str


@dataclass(frozen=True)
class DeckSection:
    """The deck on one leg. `svg` is our own drawing: markup."""

    title: str
    svg: str
    figures: str


@dataclass(frozen=True)
class RunSheet:
    language: str
    title: str
    rig: str
    driver: str
    shop_name: str
    shop_lines: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    stops: tuple[StopSection, ...]
    decks: tuple[DeckSection, ...]
    cautions: tuple[str, ...]
    foot: str


@dataclass(frozen=True)
class RunData:
    """A run in plain figures; `decks` as its row has them, `cautions` as sentences."""

    day: str
    rig: str
    driver: str
    leaves_at: datetime | None
    home_at: datetime | None
    metres: int | None
    decks: Sequence[Mapping[str, object]]
    cautions: Sequence[str]


def lay_out_run(
    run: RunData,
    stops: Sequence[SheetStop],
    *,
    shop: str,
    shop_lines: tuple[str, ...],
    figures: Figures,
    pounds: bool,
) -> RunSheet:
    """The sheet of a run. Times of the day are the shop's."""
    facts = [
        ("Leaves", clock_words(run.leaves_at, figures)),
        ("Home", clock_words(run.home_at, figures)),
        ("On the road", "" if run.metres is None else _far(run.metres, pounds=pounds)),
        ("Stops", str(len(stops))),
    ]
    return RunSheet(
        language=figures.locale,
        title=f"Run of {run.rig}, {run.day}",
        rig=run.rig,
        driver=run.driver,
        shop_name=shop,
        shop_lines=shop_lines,
        facts=tuple((label, value) for label, value in facts if value),
        stops=tuple(_parts(stops, figures)),
        decks=tuple(_deck(deck) for deck in run.decks),
        cautions=(*run.cautions, *CAUTIONS),
        foot=f"{shop}, run of {run.rig}, {run.day}",
    )


def _parts(stops: Sequence[SheetStop], figures: Figures) -> Iterator[StopSection]:
    trip = stops[0].trip if stops else 0
    for number, stop in enumerate(stops, 1):
        yield _part(number, stop, figures, trip=f"Trip {stop.trip + 1}, from the yard" if stop.trip != trip else "")
        trip = stop.trip


def _part(number: int, stop: SheetStop, figures: Figures, *, trip: str) -> StopSection:
    when = ""
    if stop.arrives_from is not None and stop.arrives_to is not None:
        when = f"{clock_words(stop.arrives_from, figures)} to {clock_words(stop.arrives_to, figures)}"
    lines = (stop.place, stop.address)
    return StopSection(
        trip=trip,
        number=number,
        title=f"{KINDS[stop.kind]}: {stop.machine}, {stop.job}",
        when=when,
        customer=stop.customer,
        phone=stop.phone,
        lines=tuple(line for line in lines if line),
        access=stop.access,
        notes=stop.notes,
        needs=", ".join(NEEDS[need] for need in stop.needs),
    )


def _deck(deck: Mapping[str, object]) -> DeckSection:
    leg = int(str(deck["leg"]))
    changed = f"{leg} machine{'' if leg == 1 else 's'} came off or on"
    title = f"Trip {int(str(deck['trip'])) + 1}, {f'after {changed}' if leg else 'as it leaves the yard'}"
    there = deck.get("tie_downs_there")
    carried = "" if there is None else f", the rig carries {there}"
    figures = f"{deck['words']}. Tie-downs for this load: {deck['tie_downs']}{carried}. Check local rules."
    return DeckSection(title, str(deck["svg"]), figures)


def clock_words(instant: datetime | None, figures: Figures) -> str:
    """The time of the day alone, as the shop writes it: the day and the zone stand in the head."""
    return "" if instant is None else figures.time_of_day(instant)


def _far(metres: int, *, pounds: bool) -> str:
    return f"{metres / 1609.344:.0f} mi" if pounds else f"{metres / 1000:.0f} km"


@dataclass(frozen=True)
class MachineTag:
    """One label: `svg` is the code as a picture, `code` the same to be typed."""

    svg: str
    code: str
    machine: str
    customer: str


@dataclass(frozen=True)
class TagSheet:
    language: str
    title: str
    shop_name: str
    tags: tuple[MachineTag, ...]
    foot: str
