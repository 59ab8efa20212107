"""What each card of an address book would do to the customers a shop has. Pure.

Two are offered as one customer when a telephone number, an e-mail address or a vCard id is the same, or the
name nearly so. The caller says what to do with such a duplicate, for the whole file and for single rows.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from shopapi.customers.rules.address_book import Card, CardFault, other_phone

# Words that say what a business is rather than what it is called.
_FORMS = {
    "and",
    "inc",
    "llc",
    "ltd",
    "co",
    "corp",
    "company",
    "limited",
    "gmbh",
    "plc",
    "the",
    "mr",
    "mrs",
    "ms",
    "dr",
}
# Shorter names differ by one letter too often (Jon and Jan).
_NEAR_FROM = 8
_NEAR_TO = 40
BY_NAME = "near-same name"


class DuplicateAction(StrEnum):
    """What a duplicate does: nothing, become a new customer, or update the one there."""

    SKIP = "skip"
    ADD = "add"
    UPDATE = "update"


class ImportOutcome(StrEnum):
    """What a card does."""

    ADD = "add"
    SKIP = "skip"
    UPDATE = "update"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class KnownCustomer:
    """A customer to compare with. `key` is its id, or `row N` for one that this same file adds."""

    key: str
    name: str
    person: str = ""
    phone: str = ""
    second_phone: str = ""
    email: str = ""
    address: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """The customer a card looks like, and why (same phone, same e-mail, same card id, near-same name)."""

    key: str
    name: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """What one card does. `sets` are the fields an update changes, as field -> (there, from the file)."""

    card: Card
    does: ImportOutcome
    match: Match | None = None
    sets: Mapping[str, tuple[str, str]] | None = None
    faults: tuple[CardFault, ...] = ()


def plan_import(
    cards: Sequence[Card],
    known: Sequence[KnownCustomer],
    *,
    take: DuplicateAction = DuplicateAction.SKIP,
    rows: Mapping[int, DuplicateAction] | None = None,
) -> tuple[Step, ...]:
    """One step per card, in order. `rows` overrides `take` for single rows.

    A card is compared with the shop's customers and with those that cards before it add.
    """
    index = _Index()
    for one in known:
        index.put(one, phones=[one.phone, one.second_phone], emails=[one.email])
    return tuple(_step(card, index, (rows or {}).get(card.row, take)) for card in cards)


def _step(card: Card, index: "_Index", take: DuplicateAction) -> Step:
    if card.faults:
        return Step(card, ImportOutcome.REFUSED, faults=card.faults)
    match = index.find(card)
    if match is not None and take is DuplicateAction.SKIP:
        return Step(card, ImportOutcome.SKIP, match)
    if match is not None and take is DuplicateAction.UPDATE:
        there = index.known[match.key]
        sets = _same_values(card, there)
        index.put(
            replace(there, **{field: new for field, (_, new) in sets.items()}),
            phones=card.phones,
            emails=card.emails,
            uid=card.uid,
        )
        return Step(card, ImportOutcome.UPDATE, match, sets)
    added = KnownCustomer(
        key=f"row {card.row}",
        name=card.name,
        person=card.person,
        phone=card.phone,
        second_phone=card.second_phone,
        email=card.email,
        address=card.address,
        notes=card.notes,
    )
    index.put(added, phones=card.phones, emails=card.emails, uid=card.uid)
    return Step(card, ImportOutcome.ADD, match)


def _same_values(card: Card, there: KnownCustomer) -> dict[str, tuple[str, str]]:
    """What the card says and the customer does not. The name never changes; notes are added to.

    A number written otherwise is no change, nor is one that is the customer's other number. A third number goes to the
    notes.
    """
    sets: dict[str, tuple[str, str]] = {}
    for field in ("person", "phone", "email", "address"):
        old, new = getattr(there, field), getattr(card, field)
        same = _knows_phone(there, new) if field == "phone" else old.casefold() == new.casefold()
        if new and not same:
            sets[field] = (old, new)
    card_lines = card.notes.split("\n")
    if card.second_phone and not _knows_phone(there, card.second_phone):
        if there.second_phone:
            card_lines.append(other_phone(card.second_phone))
        else:
            sets["second_phone"] = ("", card.second_phone)
    new_lines = [line for line in card_lines if line and line not in there.notes.split("\n")]
    if new_lines:
        sets["notes"] = (there.notes, "\n".join([*([there.notes] if there.notes else []), *new_lines]))
    return sets


def _knows_phone(there: KnownCustomer, number: str) -> bool:
    return any(same_phone(known, number) for known in (there.phone, there.second_phone))


class _Index:
    """Customers by the values that are compared."""

    def __init__(self) -> None:
        self.known: dict[str, KnownCustomer] = {}
        # By all digits, and by those that remain without a country code: the first customer, with its position.
        self._phones: dict[str, tuple[int, str]] = {}
        self._phone_ends: dict[str, tuple[int, str]] = {}
        self._emails: dict[str, str] = {}
        self._uids: dict[str, str] = {}
        self._names: dict[str, str] = {}

    def put(self, one: KnownCustomer, *, phones: Sequence[str], emails: Sequence[str], uid: str = "") -> None:
        self.known[one.key] = one
        for phone in phones:
            if digits := phone_digits(phone):
                found = (len(self._phones) + len(self._phone_ends), one.key)
                self._phones.setdefault(digits, found)
                for end in _without_country(digits):
                    self._phone_ends.setdefault(end, found)
        for email in emails:
            if email:
                self._emails.setdefault(email.casefold(), one.key)
        if uid:
            self._uids.setdefault(uid, one.key)
        for form in _spelling_variants(one.name):
            self._names.setdefault(form, one.key)

    def find(self, card: Card) -> Match | None:
        """The customer with the strongest likeness, with every reason that speaks for that one."""
        reasons: dict[str, list[str]] = {}
        for why, key in self._likenesses(card):
            if why not in reasons.setdefault(key, []):
                reasons[key].append(why)
        if not reasons:
            return None
        key, why_all = next(iter(reasons.items()))
        return Match(key, self.known[key].name, tuple(why_all))

    def _likenesses(self, card: Card) -> Iterator[tuple[str, str]]:
        if card.uid and card.uid in self._uids:
            yield "same card id", self._uids[card.uid]
        for phone in card.phones:
            # As `same_phone` compares them, without a look at every customer.
            digits = phone_digits(phone)
            there = [self._phones.get(one) for one in (digits, *_without_country(digits))]
            for _, key in sorted(one for one in (*there, self._phone_ends.get(digits)) if one is not None):
                yield "same phone", key
        for email in card.emails:
            if email.casefold() in self._emails:
                yield "same e-mail", self._emails[email.casefold()]
        for form in _spelling_variants(card.name):
            if form in self._names:
                yield BY_NAME, self._names[form]


def phone_digits(phone: str) -> str:
    """Digits that tell a number apart: no extension, no leading zeros; empty below seven of them."""
    number = re.split(r"(?i)\s*(?:x|ext|extension|#)\.?\s*\d", phone, maxsplit=1)[0]
    digits = "".join(str(unicodedata.decimal(letter, "")) for letter in number).lstrip("0")
    return digits if len(digits) >= 7 else ""


def same_phone(one: str, other: str) -> bool:
    """Whether two numbers as typed are one: equal digits, but for a country code of up to three of them."""
    short, long = sorted((phone_digits(one), phone_digits(other)), key=len)
    if not short or short == long:
        return bool(short)
    return len(short) >= 9 and len(long) - len(short) <= 3 and long.endswith(short)


def _without_country(digits: str) -> list[str]:
    """What remains of a number without its first one to three digits, as long as that is at least nine."""
    return [digits[left_out:] for left_out in range(1, 4) if len(digits) - left_out >= 9]


def _spelling_variants(name: str) -> list[str]:
    """The forms of a name, itself first; two names are near-same when they share one.

    Words in any order, without accents, marks and forms of business; a longer name also with any one letter
    left out, so that one letter missing, added, changed or swapped with its neighbour still meets.
    """
    letters = unicodedata.normalize("NFKD", name.casefold())
    words = re.findall(
        r"\w+", "".join(letter for letter in letters if not unicodedata.combining(letter)).replace("'", "")
    )
    plain = " ".join(sorted(word for word in words if word not in _FORMS) or sorted(words))
    if not _NEAR_FROM <= len(plain) <= _NEAR_TO:
        return [plain] if plain else []
    return [plain, *(plain[:place] + plain[place + 1 :] for place in range(len(plain)))]
