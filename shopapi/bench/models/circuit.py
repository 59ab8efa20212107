"""Start and kill circuits of machines, and what was observed on them."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.jobs.models import Job
from shopapi.machines.models import Machine


class Circuit(ShopOwned):
    """The start and kill circuit of a machine. `wiring`: its parts, chains and figures, a `CircuitModel`."""

    machine = ShopForeignKey(Machine, related_name="circuits")
    name = models.CharField(max_length=120)
    wiring = models.JSONField()

    def __str__(self) -> str:
        return self.name


class CircuitObservation(ShopOwned):
    """What was seen of a circuit on a job, or that an earlier observation was a mistake. Append-only."""

    append_only = True

    job = ShopForeignKey(Job, related_name="circuit_observations")
    circuit = ShopForeignKey(Circuit, related_name="observations")
    observation = models.JSONField(null=True)
    withdraws = ShopForeignKey("self", related_name="withdrawals", null=True)
    seen_by = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=models.Q(observation__isnull=True) ^ models.Q(withdraws__isnull=True),
                name="observation_or_withdrawal",
            ),
        )
