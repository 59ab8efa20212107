"""Random quotes as JSON, with every feature of the price book and the lines, and with faults."""

from collections.abc import Callable
from datetime import date, timedelta
from random import Random
from typing import Any
from uuid import UUID

from shopapi.core.money import Rounding

ROUNDINGS: tuple[Rounding, ...] = ("half_up", "half_down", "half_away")
MEMBERS = tuple(f"00000000-0000-7000-8000-00000000a{at:03}" for at in range(3))
WORKS = (None, "repair", "diagnosis", "travel", "welding")
# What canonical text must spell one way: quotes, controls, forms that compose, pairs, right to left.
SCRAPS = (
    "Blade",
    ' 21" ',
    "\\",
    "\t",
    "\n",
    "\x01",
    "\x1f",
    "\x7f",
    "\u2028",
    "e\u0301",
    "\u212b",
    "\u1100\u1161",
    "q\u0323\u0307",
    "\U0001f69c",
    "\u05de\u05db",
    "\u0958",
    "</b>",
    "\ufb01",
    "\u200b",
)


def draw_quote(random: Random) -> dict[str, Any]:
    """A quote that is rarely invalid: {on, book, lines, accepted, discount, ...}."""
    book = draw_book(random)
    lines = [draw_line(random, book, at) for at in range(random.choice((0, 1, 1, 2, 3, 5, 8, 13)))]
    draw_works(random, lines)
    random.shuffle(lines)
    ids = [line["id"] for line in lines]
    discount = random.choice(
        (
            None,
            {"percent": draw_decimal(random, 0, 30), "minor": None},
            {"percent": None, "minor": random.randrange(2000)},
        )
    )
    return {
        "on": draw_day(random, book).isoformat(),
        "book": book,
        "lines": lines,
        "accepted": random.choice((None, [one for one in ids if random.random() < 0.6])),
        "discount": discount,
        "rules_version": random.choice((1, 2, 3, 3)),
        "exempt": random.random() < 0.15,
        "currency": book["currency"],
        "heading": {
            "quote_id": draw_id(random),
            "revision": random.randrange(1, 9),
            "kind": random.choice(("first", "added")),
            "shop_name": draw_text(random),
            "customer_name": draw_text(random),
            "machine": draw_text(random),
            "language": random.choice(("en", "es")),
            "valid_until": (date(2026, 1, 1) + timedelta(days=random.randrange(700))).isoformat(),
        },
    }


def draw_book(random: Random) -> dict[str, Any]:
    currency, digits = random.choice((("USD", 2), ("USD", 2), ("JPY", 0), ("KWD", 3), ("CLF", 4)))
    cap = random.choice((None, random.randrange(500, 5000)))
    supplied = random.choice((["labor"], ["part"], ["labor", "part"]))
    return {
        "currency": currency,
        "minor_digits": digits,
        "rounding": random.choice(ROUNDINGS),
        "labor_rates": draw_rates(random),
        "labor_minimum_minor": random.choice((0, 0, random.randrange(20_000))),
        "diagnosis_fee_minor": random.randrange(10_000),
        "credit_diagnosis": random.random() < 0.5,
        "part_bands": draw_bands(random),
        "supplies": {
            "percent": random.choice(("0", draw_decimal(random, 0, 12))),
            "of": supplied,
            "floor_minor": random.choice((0, 0, random.randrange(500))),
            "cap_minor": cap,
        },
        "travel": {
            "mode": random.choice(("distance", "distance", "zone")),
            "minor_per_unit": random.randrange(400),
            "unit": random.choice(("mi", "km")),
            "free_units": random.choice(("0", draw_decimal(random, 0, 30))),
            "minimum_minor": random.choice((0, random.randrange(4000))),
            "zones": [{"key": f"z{at}", "label": f"Zone {at}", "minor": random.randrange(9000)} for at in range(3)],
        },
        "deposit": {
            "percent": random.choice(("0", draw_decimal(random, 0, 100))),
            "of": random.choice(("parts", "total")),
            "from_total_minor": random.choice((0, random.randrange(40_000))),
            "rounding_to_minor": random.choice((1, 100, 500, 1000)),
            **random.choice(({}, {}, {"fixed_minor": None}, {"fixed_minor": random.randrange(30_000)})),
        },
        **random.choice(({}, {"fixed_discount": "shared"}, {"fixed_discount": "full"})),
        "tolerance_percent": draw_decimal(random, 0, 100),
        "terms": draw_text(random),
        "valid_days": random.randrange(1, 366),
        "tax_profiles": draw_profiles(random),
    }


def draw_rates(random: Random) -> list[dict[str, Any]]:
    return [
        {
            "key": f"r{at}",
            "label": f"Rate {at}",
            "minor_per_hour": random.randrange(20_000),
            "member_id": random.choice((None, *MEMBERS)),
            "work": random.choice(WORKS),
        }
        for at in range(random.randrange(1, 6))
    ]


def draw_bands(random: Random) -> list[dict[str, Any]]:
    ends: list[int | None] = [*sorted(random.sample(range(1, 30_000), random.randrange(4))), None]
    return [{"up_to_minor": end, "markup_percent": draw_decimal(random, 0, 200)} for end in ends]


def draw_profiles(random: Random) -> list[dict[str, Any]]:
    profiles = []
    begins = date(2025, 1, 1) + timedelta(days=random.randrange(500))
    count = random.randrange(1, 4)
    for at in range(count):
        ends = begins + timedelta(days=random.randrange(300))
        is_open = at == count - 1 and random.random() < 0.8
        profiles.append(
            {
                "key": f"p{at}",
                "label": f"Profile {at}",
                "from_on": begins.isoformat(),
                "until_on": None if is_open else ends.isoformat(),
                "inclusive": random.random() < 0.4,
                "per": random.choice(("line", "invoice")),
                "rounding": random.choice(ROUNDINGS),
                "rates": [
                    {"key": f"t{one}", "label": f"Tax {one}", "percent": draw_decimal(random, 0, 25)} | draw_of(random)
                    for one in range(random.randrange(4))
                ],
                **random.choice(({}, {"rates_rounded": "together"}, {"rates_rounded": "each"})),
                "labor": random.choice(("always", "when_parts_supplied", "never_when_separate")),
                **{kind: random.random() < 0.6 for kind in ("part", "supplies", "travel", "fee")},
                "lumped": random.random() < 0.1,
            }
        )
        begins = ends + timedelta(days=1)
    return profiles


def draw_of(random: Random) -> dict[str, Any]:
    """What a rate is for; rarely nothing, which is a fault."""
    kinds = ("labor", "part", "travel", "fee", "supplies")
    of = random.sample(kinds, random.choice((1, 2, 3, 3, 4, 5))) if random.random() < 0.99 else []
    return random.choice(({}, {}, {"of": None}, {"of": of}))


def draw_line(random: Random, book: dict[str, Any], at: int) -> dict[str, Any]:
    kind = random.choice(("labor", "labor", "part", "part", "travel", "fee", "supplies", "discount"))
    line: dict[str, Any] = {
        "id": draw_id(random),
        "position": random.choice((at, at, random.randrange(4))),
        "kind": kind,
        "rank": random.choice(("safety", "needed", "advised")),
        "words": draw_text(random),
    }
    if random.random() < 0.3:
        line["included"] = draw_text(random)
    if random.random() < 0.2:
        line["found"] = draw_text(random)
    line |= FIGURES_DRAWN[kind](random, book)
    if kind != "discount":
        if random.random() < 0.2:
            line["taxed"] = random.random() < 0.5
        if random.random() < 0.25:
            line["discount_percent"] = draw_decimal(random, 0, 100)
        elif random.random() < 0.1:
            line["discount_minor"] = random.randrange(300)
        if random.random() < 0.2:
            line["later_minor"] = random.randrange(60_000)
    if random.random() < 0.2:
        # A null means the same as an absent key.
        line = {"hours": None, "fixed_minor": None, "taxed": None, "core_minor": None} | line
    return line


def draw_works(random: Random, lines: list[dict[str, Any]]) -> None:
    """Let some lines belong to others or to one taken off, ask some of them apart, and some costs not at all."""
    for line in lines:
        if line["kind"] in ("labor", "part") and random.random() < 0.5:
            line["belongs_to_id"] = random.choice([*(other["id"] for other in lines), draw_id(random)])
            line["apart"] = random.choice((None, False, True))
        elif line["kind"] in ("travel", "fee") and random.random() < 0.4:
            line["agreed"] = random.choice((True, True, False))


def _labor(random: Random, book: dict[str, Any]) -> dict[str, Any]:
    line: dict[str, Any] = {
        "hours": draw_decimal(random, 0, 12),
        "work": random.choice(WORKS),
        "member_id": random.choice((None, *MEMBERS)),
    }
    if random.random() < 0.3:
        line["operation"] = random.choice(("deck belt", "carburetor clean"))
    if random.random() < 0.2:
        line["rate_key"] = random.choice(book["labor_rates"])["key"]
    if random.random() < 0.1:
        line["fixed_minor"] = random.randrange(40_000)
    return line


def _part(random: Random, book: dict[str, Any]) -> dict[str, Any]:
    line: dict[str, Any] = {"quantity": random.choice((None, draw_decimal(random, 0, 20)))}
    if random.random() < 0.7:
        ends = [band["up_to_minor"] for band in book["part_bands"] if band["up_to_minor"] is not None]
        line["unit_cost_minor"] = random.choice((random.randrange(30_000), *ends))
    if "unit_cost_minor" not in line or random.random() < 0.1:
        line["unit_price_minor"] = random.randrange(60_000)
    if random.random() < 0.2:
        line["core_minor"] = random.randrange(6000)
    return line


def _travel(random: Random, book: dict[str, Any]) -> dict[str, Any]:
    zone = random.choice(book["travel"]["zones"])["key"]
    by_mode = {"zone_key": zone} if book["travel"]["mode"] == "zone" else {}
    line = {"distance": draw_decimal(random, 0, 120)} | by_mode
    if random.random() < 0.1:
        line["fixed_minor"] = random.randrange(9000)
    return line


def _fee(random: Random, book: dict[str, Any]) -> dict[str, Any]:
    if random.random() < 0.4:
        return {"work": "diagnosis"}
    return _supplies(random, book)


def _supplies(random: Random, book: dict[str, Any]) -> dict[str, Any]:
    assert book
    if random.random() < 0.5:
        return {"fixed_minor": random.randrange(9000)}
    return {"quantity": draw_decimal(random, 0, 9), "unit_price_minor": random.randrange(3000)}


def _discount(random: Random, book: dict[str, Any]) -> dict[str, Any]:
    assert book
    if random.random() < 0.5:
        return {"discount_percent": draw_decimal(random, 0, 40)}
    return {"discount_minor": random.randrange(3000)}


FIGURES_DRAWN: dict[str, Callable[[Random, dict[str, Any]], dict[str, Any]]] = {
    "labor": _labor,
    "part": _part,
    "travel": _travel,
    "fee": _fee,
    "supplies": _supplies,
    "discount": _discount,
}


def draw_day(random: Random, book: dict[str, Any]) -> date:
    """A day on, beside or between the edges of the tax profiles."""
    edges = [profile["from_on"] for profile in book["tax_profiles"]]
    edges += [profile["until_on"] for profile in book["tax_profiles"] if profile["until_on"]]
    chosen = date.fromisoformat(random.choice(edges))
    if random.random() < 0.1:
        return chosen - timedelta(days=1)
    return chosen


def draw_decimal(random: Random, low: int, high: int) -> str:
    """Plain text, short more often than long, ties and needless zeros now and then."""
    whole = random.randrange(low, high) if high > low else low
    digits = random.choice((0, 0, 1, 2, 2, 3, 6))
    part = random.choice(("5", "25", "125", "50", f"{random.randrange(10**6):06}"))[:digits]
    return f"{whole}.{part}" if part else str(whole)


def draw_id(random: Random) -> str:
    return str(UUID(int=random.getrandbits(128)))


def draw_text(random: Random) -> str:
    return "Part " + "".join(random.choices(SCRAPS, k=random.randrange(5)))


WRONG_TEXTS = (
    "",
    " \u00a0\u200b",
    "x" * 4001,
    "x" * 121,
    "a\x00b",
    "NaN",
    "-Infinity",
    "1e5",
    "-0.5",
    "-0",
    "00012.50",
    "100.000001",
    "99.5",
    "99999",
    "1,5",
    "\u0663",
    "EUR",
    "JPY",
    "gift",
    "half_even",
    "2026-02-30",
    "20260228",
    "zone",
    "p0",
    "r9",
    "Key",
    MEMBERS[0],
    5,
    None,
)
WRONG_NUMBERS = (None, -1, 0, 1.5, 366, 10**6 + 1, 10**9, 10**9 + 1, 10**12, True, "5")
LINE_FIGURES = {
    "operation": "deck belt",
    "hours": "1000.5",
    "rate_key": "r9",
    "member_id": MEMBERS[1],
    "quantity": "10000",
    "unit_cost_minor": 10**9,
    "unit_price_minor": 10**9,
    "core_minor": 10**9,
    "distance": "7",
    "zone_key": "z9",
    "fixed_minor": 700,
    "discount_percent": "3",
    "discount_minor": 40_000,
    "taxed": True,
    "work": "diagnosis",
}


def spoil(random: Random, quote: dict[str, Any]) -> None:
    """Put wrong values where right ones stood, anywhere a person or a program could."""
    lines = quote["lines"]
    for line in random.sample(lines, random.choice((0, 0, 1, 2)) if len(lines) > 1 else 0):
        figure = random.choice(tuple(LINE_FIGURES))
        line[figure] = LINE_FIGURES[figure]
    match random.randrange(16):
        case 0:
            quote["accepted"] = [draw_id(random)]
        case 1:
            quote["currency"] = "EUR"
        case 2:
            quote["discount"] = random.choice(
                ({"percent": "5", "minor": 5}, {"percent": "5e1"}, {"minor": 10**9}, {"minor": -1})
            )
        case 3 if lines:
            lines[:] = [lines[0] | {"id": draw_id(random)} for _ in range(201)]
        case 4 if lines:
            lines.append(dict(lines[0]))
        case 5 | 6 | 7 | 8 if lines:
            _spoil_within(random, lines)
        case 9:
            _spoil_within(random, quote["book"])
        case _:
            sections = ("labor_rates", "part_bands", "supplies", "travel", "tax_profiles", "tax_profiles")
            _spoil_within(random, quote["book"][random.choice(sections)])


def _spoil_within(random: Random, record: Any) -> None:
    """Spoil one place of a record or list, at any depth."""
    at = random.choice(tuple(record) if isinstance(record, dict) else range(len(record)))
    inner = record[at]
    if isinstance(inner, dict | list) and inner and random.random() < 0.8:
        _spoil_within(random, inner)
    elif isinstance(record, dict) and random.random() < 0.05:
        del record[at]
    else:
        record[at] = _wrong(random, inner)


def _wrong(random: Random, right: Any) -> Any:
    if isinstance(right, list):
        return random.choice((None, [], right[:-1], right[1:], right[::-1], right + right[-1:]))
    if isinstance(right, dict):
        return random.choice((None, [], {}, "x"))
    if isinstance(right, bool):
        return random.choice((None, 1, "yes"))
    if isinstance(right, int):
        return random.choice(WRONG_NUMBERS)
    if isinstance(right, str) and right[4:5] == right[7:8] == "-" and random.random() < 0.9:
        return str(date.fromisoformat(right) + timedelta(days=random.choice((-400, -1, 1, 60))))
    return random.choice(WRONG_TEXTS)
