"""The report of an import, for a terminal and as a table for a spreadsheet. Pure."""

import re
from collections.abc import Iterable, Iterator

from shopapi.customers.rules.address_plan import ImportOutcome, Match, Step

COLUMNS = ("row", "outcome", "name", "phone", "e-mail", "duplicate of", "why", "changes", "refused")
_OUTCOMES = {
    ImportOutcome.ADD: "new",
    ImportOutcome.SKIP: "left out",
    ImportOutcome.UPDATE: "update",
    ImportOutcome.REFUSED: "refused",
}
# First characters that make a spreadsheet read a cell as a formula; some accept the full-width forms.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
# Without letters it can name no function, cell or program; with an apostrophe it could not be dialed or matched.
_TELEPHONE = re.compile(r"\+[0-9 ()-]{5,}")


def printed_row(step: Step) -> str:
    """One line for the terminal, without control characters."""
    line = f"row {step.card.row:>4}  {_OUTCOMES[step.does]:<8}  {step.card.name or '(no name)'}"
    if step.match is not None:
        line += f"  <- {', '.join(step.match.why)} as {_named(step.match)}"
    if changes := "; ".join(_changes(step)):
        line += f"  ({changes})"
    if step.does is ImportOutcome.REFUSED:
        line += "  -> " + " ".join(_refusals(step))
    return "".join(letter if letter.isprintable() else "?" for letter in line.replace("\n", " / "))


def table(steps: Iterable[Step]) -> Iterator[tuple[str, ...]]:
    """The header and one row per step; no cell is a formula to a spreadsheet."""
    yield COLUMNS
    for step in steps:
        card, match = step.card, step.match
        cells = (
            str(card.row),
            _OUTCOMES[step.does],
            card.name,
            card.phone,
            card.email,
            "" if match is None else _named(match),
            "" if match is None else ", ".join(match.why),
            "; ".join(_changes(step)),
            " ".join(_refusals(step)),
        )
        yield tuple(plain_cell(cell) for cell in cells)


def plain_cell(text: str) -> str:
    """Text that no spreadsheet reads as a formula: an apostrophe is put before a character that would start one.

    A plain telephone number is left as it is.

    >>> plain_cell("=1+1"), plain_cell("+1 555 014 2210"), plain_cell("Ada")
    ("'=1+1", '+1 555 014 2210', 'Ada')
    """
    text = text.replace("\0", "")
    return f"'{text}" if starts_formula(text) and not _TELEPHONE.fullmatch(text) else text


def starts_formula(text: str) -> bool:
    """Whether a spreadsheet may read text as a formula by how it begins."""
    return text.lstrip(" ").startswith(_FORMULA)


def closing_words(steps: Iterable[Step], *, dry_run: bool, written: bool) -> str:
    """The summary: how many rows did what, and whether anything was written."""
    counts = dict.fromkeys(ImportOutcome, 0)
    for step in steps:
        counts[step.does] += 1
    line = ", ".join(f"{count} {_OUTCOMES[does]}" for does, count in counts.items())
    if dry_run:
        return f"{line}. Dry run: nothing was written."
    if not written:
        return f"{line}. Nothing was written: correct the refused rows, or leave them out with --leave-refused."
    return f"{line}. All of it is written."


def _named(match: Match) -> str:
    return f"{match.name} ({match.key})" if match.key.startswith("row ") else match.name


def _changes(step: Step) -> Iterator[str]:
    for field, (there, new) in (step.sets or {}).items():
        yield f"{field} '{there}' becomes '{new}'" if there else f"{field} '{new}'"


def _refusals(step: Step) -> Iterator[str]:
    for fault in step.faults:
        yield f"{fault.field}: {fault.words}"
