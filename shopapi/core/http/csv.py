"""Tables as CSV files."""

from django.http import HttpResponse


def csv_response(content: bytes, name: str) -> HttpResponse:
    """A table as a download. Not streamed: its rows must be read in this transaction."""
    return HttpResponse(
        content,
        content_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="{name}"',
            "Cache-Control": "private, no-store",
            "X-Content-Type-Options": "nosniff",
        },
    )
