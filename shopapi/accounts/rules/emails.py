"""E-mail addresses, and the normalized form by which a sign-in is found."""

import re
from typing import Annotated
from unicodedata import normalize

from pydantic import AfterValidator, Field

from shopapi.core.schema import CONTROL, Text

# The longest address, as typed and normalized.
LONGEST_EMAIL = 254


# The dotless letters, which NFKC and case folding leave unchanged (Unicode's SpecialCasing.txt).
_DOTTED = str.maketrans({"\N{LATIN SMALL LETTER DOTLESS I}": "i", "\N{LATIN SMALL LETTER DOTLESS J}": "j"})


# Invisible: format characters and variation selectors (most of Default_Ignorable_Code_Point).
_UNSEEN = re.compile(
    "[\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e\u2060-\u206f\u3164"
    "\ufe00-\ufe0f\ufeff\uffa0\U000e0000-\U000e0fff]"
)


def sign_in_name(email: str) -> str:
    """The normalized form of an address, used for look-up, throttling and uniqueness of sign-ins.

    Unicode's own folding (NFKC and full case folding, as in UAX #31 and UTS #39) and not the database's, which takes
    other letters for the same: a count by one and a search by the other could be told apart.

    >>> sign_in_name(" Kim@BENCH.example "), sign_in_name("\N{KELVIN SIGN}im@bench.example")
    ('kim@bench.example', 'kim@bench.example')
    """
    # What one step makes may be folded further; a fourth step has never changed anything.
    for _ in range(4):
        folded = _UNSEEN.sub("", normalize("NFKC", email).casefold()).translate(_DOTTED)
        folded = normalize("NFKC", folded).replace("i\u0307", "i").strip()
        if folded == email:
            break
        email = folded
    return email


def _usable_email(email: str) -> str:
    if CONTROL.search(email):
        raise ValueError("control_characters")
    if len(sign_in_name(email)) > LONGEST_EMAIL:
        raise ValueError("address_too_long")
    return email


Email = Annotated[
    Text,
    Field(max_length=LONGEST_EMAIL, pattern=r"^[^@\s]+@[^@\s]+\.[^@\s]+$"),
    AfterValidator(_usable_email),
]
