"""The decision on the PDF: who, how, when, about what, and the signature."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC
from itertools import pairwise

from shopapi.core.languages import ENGLISH, Language, Texts
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.pdf.facts import INK_BOX, DecisionFacts, SignatureFacts
from shopapi.quotes.rules.pdf.lines import Answer, RankGroup
from shopapi.quotes.rules.schemas import How
from shopapi.quotes.rules.texts import TEXTS

WRITTEN_DOWN: frozenset[How] = frozenset({"call", "in_person"})
"""Ways of deciding that leave no evidence made by the customer."""


@dataclass(frozen=True, slots=True)
class Fact:
    """A labelled fact."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class SignatureDrawing:
    """An SVG path with its view box and a description."""

    path: str
    width: int
    height: int
    words: str


@dataclass(frozen=True, slots=True)
class DecisionPart:
    title: str
    aside: str
    facts: tuple[Fact, ...]
    ink: SignatureDrawing | None
    digest: str


def describe_decision(
    decision: DecisionFacts, groups: Sequence[RankGroup], texts: Texts, figures: Figures
) -> DecisionPart:
    places = [(line.place, line.said) for group in groups for line in group.lines]

    def numbers(answer: Answer) -> str:
        return _runs([place for place, given in places if given == answer]) or texts["none"]

    there = figures.moment(decision.at, decision.zone)
    facts = [
        Fact(texts["how"], texts[f"how_{decision.how}"]),
        Fact(texts["when"], f"{there} ({decision.at.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC)"),
    ]
    if there != figures.moment(decision.at):
        facts.append(Fact(texts["shop_time"], figures.moment(decision.at)))
    facts.append(Fact(texts["received"], figures.moment(decision.received_at)))
    if decision.matches:
        facts.append(Fact(texts["approved"], texts.say("approved_declined", yes=numbers("yes"), no=numbers("no"))))
    if decision.accepted_total_minor is not None:
        facts.append(Fact(texts["approved_amount"], _agreed(decision, texts, figures)))
    if decision.how in WRITTEN_DOWN and decision.taken_by:
        facts.append(Fact(texts["recorded_by"], decision.taken_by))
    if decision.number_called.strip():
        facts.append(Fact(texts["number_called"], decision.number_called.strip()))
    if decision.conditions.strip():
        facts.append(Fact(texts["conditions"], decision.conditions.strip()))
    if decision.note.strip():
        facts.append(Fact(texts["notes"], decision.note.strip()))
    return DecisionPart(
        title=texts.say("answered_by", name=decision.name),
        aside="" if decision.matches else texts["other_version"],
        facts=tuple(facts),
        ink=draw_signature(decision.ink, there, texts.language) if decision.ink else None,
        digest=decision.digest,
    )


def _agreed(decision: DecisionFacts, texts: Texts, figures: Figures) -> str:
    """The amount; if agreed orally also labor and parts separately (16 CCR 2722 requires this to be noted)."""
    whole = figures.money(decision.accepted_total_minor or 0)
    labor, parts = decision.accepted_labor_minor, decision.accepted_parts_minor
    if decision.how not in WRITTEN_DOWN or labor is None or parts is None:
        return whole
    return texts.say("labor_parts", whole=whole, labor=figures.money(labor), parts=figures.money(parts))


def _runs(places: Sequence[int]) -> str:
    """Ascending numbers with runs of three or more joined: [1, 2, 4, 5, 6] is "1, 2, 4-6"."""
    runs: list[list[int]] = []
    for place in places:
        if runs and runs[-1][-1] == place - 1:
            runs[-1].append(place)
        else:
            runs.append([place])
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)


def draw_signature(ink: SignatureFacts, when: str, language: Language = ENGLISH) -> SignatureDrawing:
    """Draw strokes as one path through the midpoints of their points, in the proportions of the signature field."""
    width, height = max(ink.width, 1), max(ink.height, 1)

    def at(point: Sequence[int]) -> tuple[float, float]:
        return round(point[0] / INK_BOX * width, 1), round(point[1] / INK_BOX * height, 1)

    path = []
    for stroke in ink.strokes:
        points = [at(point) for point in stroke]
        if not points:
            continue
        path.append(f"M{points[0][0]} {points[0][1]}")
        for (x, y), (then_x, then_y) in pairwise(points):
            path.append(f"Q{x} {y} {round((x + then_x) / 2, 1)} {round((y + then_y) / 2, 1)}")
        # To the last point; for a stroke of one point this draws a dot.
        path.append(f"L{points[-1][0] + 0.1 * (len(points) == 1)} {points[-1][1]}")
    return SignatureDrawing(
        path=" ".join(path),
        width=width,
        height=height,
        words=TEXTS[language].count("ink", len(ink.strokes), name=ink.signer_name, when=when),
    )
