"""Count sheets, and labels for bins, as PDF."""

from uuid import UUID

import segno
from django.conf import settings

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import today
from shopapi.core.commands import command
from shopapi.core.errors import Unavailable, pack, refuse_faults
from shopapi.core.feed import lock_shop
from shopapi.core.money import plain_decimal
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import to_json
from shopapi.documents.rules import Figures
from shopapi.documents.services import render_pdf
from shopapi.documents.services.storage import keep_document
from shopapi.parts.models import CatalogPart, StockPlace, StockSheet
from shopapi.parts.queries.stock import parts_to_print, stock_levels
from shopapi.parts.rules.stock_sheets import SheetPart, StockPage, StockSheetPrint, sheet_faults, title_of


@command(needs=Permission.WORK_JOBS, creates_row=True)
def print_stock_sheet(*, actor: Actor, data: StockSheetPrint) -> StockSheet:
    """Request a sheet to count by, or labels."""
    refuse_known_id(StockSheet, data.id)
    refuse_faults(sheet_faults(data))
    if data.place_id is not None:
        row_for(StockPlace, actor, data.place_id, field="place_id", lock=False)
    wanted = data.model_dump() | {"catalog_part_ids": to_json(data.catalog_part_ids)}
    sheet = StockSheet.objects.create(shop_id=actor.shop_id, **wanted)
    record(actor, "stock sheet asked for", ("stock_sheet", sheet.id), kind=sheet.kind)
    after_commit("parts.make_stock_sheet", shop_id=actor.shop_id, sheet_id=sheet.id)
    return sheet


def make_stock_sheet(*, actor: Actor, sheet_id: UUID) -> None:
    """Make one sheet and store it, or the reason why that failed. The caller holds the transaction."""
    waiting = StockSheet.objects.filter(shop=actor.shop_id, id=sheet_id, state="waiting")
    sheet = waiting.select_related("place").first()
    if sheet is None:
        return
    shop = shop_of(actor)
    page = page_of(actor, sheet, shop)
    try:
        content = render_pdf(
            f"parts/stock_{sheet.kind}.html",
            {"page": page},
            paper_size="a4" if shop.paper_size == "a4" else "letter",
            language=page.language,
        )
        document = keep_document(actor=actor, content=content, media_type="application/pdf")
    except Unavailable as failed:
        lock_shop(actor.shop_id)
        sheet.state, sheet.reason = "failed", pack(failed.reason)
        sheet.save(update_fields=["state", "reason"])
        return
    lock_shop(actor.shop_id)
    sheet.state, sheet.document = "ready", document
    sheet.save(update_fields=["state", "document"])
    record(actor, "stock sheet made", ("stock_sheet", sheet.id), document=document.id)


def page_of(actor: Actor, sheet: StockSheet, shop: Shop) -> StockPage:
    """What a sheet prints, as it is now."""
    levels = stock_levels(actor, place_id=sheet.place_id) if sheet.place_id is not None else {}
    at_place = {part_id: level for (part_id, _), level in levels.items()}
    figures = Figures(shop.locale, shop.currency, shop.zone)
    parts = tuple(
        SheetPart(
            number=part.number,
            description=part.description,
            bin=part.bin,
            expected=plain_decimal(at_place[part.id]) if sheet.shows_levels and part.id in at_place else "",
            svg=_code(part) if sheet.kind == "labels" else "",
        )
        for part in parts_to_print(actor, sheet, at_place)
    )
    place = sheet.place.name if sheet.place is not None else ""
    title = title_of(sheet.kind, place, len(parts))
    return StockPage(
        language=shop.locale,
        title=title,
        foot=f"{shop.name}, {title[0].lower()}{title[1:]}",
        place=place,
        day=figures.day(today(shop.zone)),
        shop_name=shop.name,
        shows_levels=sheet.shows_levels,
        parts=parts,
    )


def _code(part: CatalogPart) -> str:
    """The code of a part's screen; level M of ISO/IEC 18004 still scans with about 15 % of it covered by dirt."""
    code = segno.make(f"{settings.ORIGIN}/catalog/{part.id}", error="m", micro=False)
    title = f"Code of {part.number or part.description}"
    return code.svg_inline(border=2, title=title, svgclass=None, lineclass=None, omitsize=True)
