"""Fields that several rows of parts share."""

from decimal import Decimal
from typing import Annotated

from pydantic import Field

from shopapi.accounts.rules import Permission
from shopapi.core.schema import DecimalText, SeenWith, Text

# An amount for one, in minor units of the shop's currency.
Each = Annotated[int, Field(ge=0, le=10**9)]
# What the shop pays for one; hidden from members who may not see costs.
Cost = Annotated[Each | None, SeenWith(Permission.SEE_COST, instead=None)]
PartNumber = Annotated[Text, Field(max_length=60)]
# So many pieces, or a measure such as 1.5 meters of hose.
PartQuantity = Annotated[DecimalText, Field(gt=0, le=10_000)]
# So many pieces, none included.
StockQuantity = Annotated[DecimalText, Field(ge=0, le=10_000)]
ONE_PIECE = Decimal(1)
