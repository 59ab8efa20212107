"""The resources of the bench."""

from shopapi.accounts.rules import Permission
from shopapi.bench.models import CautionSeen
from shopapi.bench.rules.cautions import CautionSeenRow
from shopapi.bench.services.cautions import acknowledge_caution
from shopapi.core.resources import Resource

RESOURCES: tuple[Resource, ...] = (
    Resource(
        "caution_seen",
        CautionSeen,
        CautionSeenRow,
        reads=Permission.READ,
        plural="cautions-seen",
        filters=("job_id",),
        commands=(acknowledge_caution,),
        computed_fields=("member_id",),
        columns=("job", "code", "seen_at", "member"),
        column_filters=("code",),
    ),
)
