"""Bodies that are a file: read as they are, up to one byte more than may be, so that a service refuses by size."""

from typing import IO, Any

from rest_framework.parsers import BaseParser

BYTES = "application/octet-stream"


def bytes_parser(most: int) -> type[BaseParser]:
    """A parser of bodies of at most so many bytes and one more."""

    class BytesParser(BaseParser):
        media_type = BYTES

        def parse(self, stream: IO[bytes], media_type: str | None = None, parser_context: Any = None) -> Any:
            return stream.read(most + 1)

    return BytesParser
