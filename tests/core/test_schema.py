"""Field errors are rendered as sentences, whatever characters their values contain."""

import pytest

from shopapi.accounts.rules import FirstShop
from shopapi.core.errors import Invalid
from shopapi.core.rendering import render
from shopapi.core.schema import parse


def test_pattern_with_braces_is_rendered_unchanged() -> None:
    fields = {"shop_name": "A", "zone": "UTC", "name": "A", "email": "a@b.example", "password": "a long password"}
    with pytest.raises(Invalid) as refused:
        parse(FirstShop, {**fields, "currency": "dollars"})
    (fault,) = refused.value.fields
    assert (fault.field, fault.code) == ("currency", "string_pattern_mismatch")
    assert "{3}" in render(fault.reason)


def test_placeholders_are_filled_in() -> None:
    with pytest.raises(Invalid) as refused:
        parse(FirstShop, {"shop_name": "n" * 121})
    assert render(refused.value.fields[0].reason) == "Too many: at most 120."
