"""The country of a time zone, from the table of the IANA time zone database."""

from functools import lru_cache
from importlib.resources import files


@lru_cache(maxsize=1)
def _countries() -> dict[str, str]:
    """Zones and their countries (ISO 3166), from zone.tab of the IANA time zone database."""
    lines = files("tzdata.zoneinfo").joinpath("zone.tab").read_text(encoding="utf-8").splitlines()
    columns = (line.split("\t") for line in lines if line and not line.startswith("#"))
    return {zone: country for country, _, zone, *_ in columns}


def region_of_zone(zone: str) -> str | None:
    """The country of a zone; None for one without a country, such as "UTC"."""
    return _countries().get(zone)
