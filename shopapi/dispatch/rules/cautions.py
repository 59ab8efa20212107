"""What to mind about one standing load: codes with their figures, for screen and run sheet. Nothing here says yes."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from shopapi.dispatch.rules.load import GRAIN_KG, GRAIN_SHARE, Towing, Trailer
from shopapi.dispatch.rules.ramp import Climb
from shopapi.dispatch.rules.tiedowns import Holding

# Below this share of a rating what is left is called little; past this share of the track the load stands aside.
NEAR = 0.05
ASIDE = 0.05


@dataclass(frozen=True)
class Caution:
    """A code of `wording.CAUTIONS` with what fills it. Weights are kilograms, lengths centimetres."""

    code: str
    facts: Mapping[str, float | str]


def towing_cautions(trailer: Trailer, towing: Towing, *, loaded: bool) -> Iterator[Caution]:
    """About ratings, tongue and sides. An empty trailer's tongue is its maker's business."""
    for margin in towing.margins:
        if margin.kg < -GRAIN_KG:
            yield Caution("rating_passed", {"rating": margin.rating, "over": -margin.kg})
    smallest = towing.smallest
    if smallest is not None and -GRAIN_KG <= smallest.kg < NEAR * smallest.limit_kg:
        yield Caution("rating_near", {"rating": smallest.rating, "left": max(0.0, smallest.kg)})
    if towing.tongue_kg < 0:
        yield Caution("tongue_lifts", {"tongue": towing.tongue_kg})
    elif loaded and towing.tongue_share < trailer.tongue_low - GRAIN_SHARE:
        yield Caution("tongue_light", {"share": towing.tongue_share})
    elif loaded and towing.tongue_share > trailer.tongue_high + GRAIN_SHARE:
        yield Caution("tongue_heavy", {"share": towing.tongue_share})
    if loaded and abs(towing.side_cm) > ASIDE * trailer.track_cm:
        yield Caution("side_offset", {"side": towing.side_cm})


def ramp_cautions(climb: Climb, *, steepest: float) -> Iterator[Caution]:
    if not climb.within:
        yield Caution("ramp_steep", {"degrees": climb.degrees, "steepest": steepest, "needed": climb.needed_cm})
    if climb.clears is False:
        yield Caution("belly_low", {"degrees": climb.degrees})


def tie_down_cautions(holding: Holding) -> Iterator[Caution]:
    if holding.there < holding.needed:
        yield Caution("tie_downs_few", {"needed": holding.needed, "there": holding.there})
    if holding.there_pounds < holding.needed_pounds:
        facts = {"needed_pounds": holding.needed_pounds, "there_pounds": holding.there_pounds}
        yield Caution("tie_downs_weak", facts)
    yield Caution("check_again", {})
