"""Every code of a refusal or a reason has a sentence in a catalog, and every sentence of a catalog is used."""

import ast
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from shopapi.core.rendering import ENGLISH, catalogs
from shopapi.dispatch.rules.schemas.plan import SearchCode
from shopapi.dispatch.rules.schemas.run import LoadCautionCode, RatingName, RuleCode
from shopapi.files.rules import PictureFault
from shopapi.labor.rules.entry import EntryAnomaly
from shopapi.notices.rules.notice import DeliveryReason
from shopapi.quotes.rules.decision import DecisionAnomaly
from tests.structure.source_tree import ROOT

ERRORS = ("DomainError", "Forbidden", "Conflict", "Invalid", "TooMany", "Unavailable")
REFUSERS = {**dict.fromkeys(ERRORS, 0), "Reason": 0, "FieldError": 1}
PLACEHOLDER = re.compile(r"(?<!\{)\{(\w+)\}(?!\})")
# Codes that pydantic raises, and those of money, which a table of rules names.
RAISED_BY_PYDANTIC = re.compile(
    r".*_(type|parsing|parsing_size|mismatch|unicode|number|aware|float|inexact|error|forbidden)|.*_than(_equal)?"
)
# Families of reasons with a sentence for each code, by the beginning that the codes of their sentences share.
FAMILIES: dict[str, tuple[str, ...]] = {
    "time_": tuple(EntryAnomaly),
    "decision_": get_args(DecisionAnomaly),
    "caution_": get_args(LoadCautionCode),
    "rating_": get_args(RatingName),
    "": (*get_args(PictureFault), *get_args(DeliveryReason.model_fields["code"].annotation)),
}
# Of these a plan never speaks: a route that names them was not made from the shop's own rows.
UNSPOKEN = {"rig_unknown", "stop_unknown"}


@dataclass(frozen=True)
class Named:
    """A sentence as a piece of source names it: its code, or its beginning where the rest is a variable."""

    code: str
    where: str
    whole: bool
    context: frozenset[str] | None


def sources() -> Iterator[tuple[Path, ast.Module]]:
    for path in sorted((ROOT / "shopapi").rglob("*.py")):
        if "migrations" not in path.parts and path.name != "messages.py":
            yield path, ast.parse(path.read_text(encoding="utf-8"))


def codes_in(node: ast.expr) -> Iterator[tuple[str, bool]]:
    """The codes that an expression may give, with whether each is whole."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value, True
    elif isinstance(node, ast.JoinedStr) and isinstance(node.values[0], ast.Constant):
        yield str(node.values[0].value), False
    elif isinstance(node, ast.IfExp):
        yield from codes_in(node.body)
        yield from codes_in(node.orelse)


def context_of(call: ast.Call) -> frozenset[str] | None:
    """The names in the `context` of a call, where it is written out there."""
    given = {word.arg: word.value for word in call.keywords}.get("context")
    if isinstance(call.func, ast.Name) and call.func.id == "Reason" and len(call.args) > 1:
        given = call.args[1]
    if given is None:
        return frozenset()
    if isinstance(given, ast.Dict) and all(isinstance(key, ast.Constant) for key in given.keys):
        return frozenset(str(key.value) for key in given.keys if isinstance(key, ast.Constant))
    return None


def named() -> Iterator[Named]:
    for path, tree in sources():
        for call in ast.walk(tree):
            if not (isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in REFUSERS):
                continue
            words = {word.arg: word.value for word in call.keywords}
            position = REFUSERS[call.func.id]
            if words.keys() & {"reason", "text"} or len(call.args) <= position:
                continue
            says = words.get("message", call.args[position])
            if "message" not in words and isinstance(says, ast.Constant) and says.value == "invalid":
                # It says what its first field says.
                continue
            for code, whole in codes_in(says):
                yield Named(code, f"{path.relative_to(ROOT)}:{call.lineno}", whole, context_of(call))


def test_every_code_that_is_raised_has_a_message() -> None:
    messages = catalogs()[ENGLISH]
    found = list(named())
    assert len(found) > 200
    missing = [
        f"{one.where} {one.code}"
        for one in found
        if one.code not in messages and (one.whole or not any(code.startswith(one.code) for code in messages))
    ]
    assert missing == []


def test_every_code_of_a_family_has_its_sentence() -> None:
    messages = catalogs()[ENGLISH]
    missing = [begins + code for begins, codes in FAMILIES.items() for code in codes if begins + code not in messages]
    # Why a stop is left out: alone, or beside the others; loads by what they are counted in.
    planned = (*get_args(RuleCode), *get_args(SearchCode))
    missing += [
        code
        for code in planned
        if not any(f"{begins}_{code}{kind}" in messages for begins in ("alone", "beside") for kind in ("", "_kg"))
    ]
    assert set(missing) == UNSPOKEN


def test_every_message_is_used() -> None:
    texts = {
        node.value
        for _, tree in sources()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    beginnings = tuple(one.code for one in named() if not one.whole)
    unused = [
        code
        for code in catalogs()[ENGLISH]
        if code not in texts
        and not code.startswith(beginnings)
        and "." not in code
        and not RAISED_BY_PYDANTIC.fullmatch(code)
    ]
    assert unused == []


def test_every_placeholder_is_given_where_the_code_is_raised() -> None:
    messages = catalogs()[ENGLISH]
    wrong = [
        f"{one.where} {one.code} lacks {sorted(lacks)}"
        for one in named()
        if one.whole and one.context is not None and one.code in messages
        if (lacks := set(PLACEHOLDER.findall(messages[one.code])) - one.context)
    ]
    assert wrong == []


def test_a_code_has_one_sentence_in_all_apps() -> None:
    codes = [
        key.value
        for path in sorted((ROOT / "shopapi").glob("*/messages.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Dict)
        for key in node.keys
        if isinstance(key, ast.Constant)
    ]
    assert len(codes) > 200
    assert [code for code, times in Counter(codes).items() if times > 1] == []
