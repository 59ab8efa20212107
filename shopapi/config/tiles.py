"""The address of map tiles, if configured: checked at the start."""

import re
from urllib.parse import urlsplit

# Characters of an address with its three placeholders; none that could end a source in a Content-Security-Policy.
ADDRESS = re.compile(r"[A-Za-z0-9._~:/?@%&=+$!()\[\]-]+")
PLACES = ("{z}", "{x}", "{y}")
OWN_MACHINE = ("localhost", "127.0.0.1", "::1")
WAY_OUT = "must look like https://tiles.example/{z}/{x}/{y}.png"


def tile_origin(url: str) -> str | None:
    """The origin of the tiles, for the Content-Security-Policy; None without tiles.

    Raises:
        ValueError: it is no address of tiles; the message shows a valid one.
    """
    if not url:
        return None
    bare = url
    for place in PLACES:
        if url.count(place) != 1:
            raise ValueError(f"{WAY_OUT}, with {place} once.")
        bare = bare.replace(place, "0")
    try:
        parts = urlsplit(bare)
        port = parts.port
    except ValueError:
        raise ValueError(f"{WAY_OUT}.") from None
    if not ADDRESS.fullmatch(bare) or not parts.hostname or any(place in urlsplit(url).netloc for place in PLACES):
        raise ValueError(f"{WAY_OUT}.")
    if parts.username is not None or parts.password is not None:
        raise ValueError(f"{WAY_OUT}, without a password: every phone would be shown it.")
    if parts.scheme != "https" and not (parts.scheme == "http" and parts.hostname in OWN_MACHINE):
        raise ValueError(f"{WAY_OUT}, over https.")
    host = f"[{parts.hostname}]" if ":" in parts.hostname else parts.hostname
    return f"{parts.scheme}://{host}" + ("" if port is None else f":{port}")
