"""Circuits of machines and what is observed on them."""

from shopapi.accounts.rules import Permission
from shopapi.bench.models import Circuit, CircuitObservation
from shopapi.bench.rules.circuit import (
    CircuitFields,
    NewCircuit,
    ObservationRecord,
    ObservationWithdrawal,
    faults_of_circuit,
    faults_of_observation,
)
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import FieldError, refuse_faults
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target, to_json
from shopapi.jobs.models import Job
from shopapi.machines.models import Machine


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_circuit(*, actor: Actor, data: NewCircuit) -> Circuit:
    """Add the start and kill circuit of a machine."""
    refuse_known_id(Circuit, data.id)
    row_for(Machine, actor, data.machine_id, field="machine_id")
    refuse_faults(faults_of_circuit(data.wiring))
    circuit = Circuit.objects.create(shop_id=actor.shop_id, **data.model_dump() | {"wiring": to_json(data.wiring)})
    record(actor, "circuit added", ("machine", data.machine_id), circuit=circuit.id)
    return circuit


@command(needs=Permission.WORK_JOBS)
def edit_circuit(*, actor: Actor, data: Edit[CircuitFields]) -> Circuit:
    """Edit a circuit: its name, its parts and chains."""
    circuit = row_for(Circuit, actor, data.id)
    refuse_faults(faults_of_circuit(edited(circuit, data).wiring))
    return edit_row(actor=actor, kind="circuit", row=circuit, edit=data)


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_circuit(*, actor: Actor, data: Target) -> Circuit:
    """Remove a circuit on which nothing was observed."""
    circuit = row_for(Circuit, actor, data.id)
    remove_row(circuit, "circuit_in_use")
    record(actor, "circuit removed", ("machine", circuit.machine_id), name=circuit.name)
    return circuit


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_circuit_observation(*, actor: Actor, data: ObservationRecord) -> CircuitObservation:
    """Keep what was seen of a circuit."""
    refuse_known_id(CircuitObservation, data.id)
    job = row_for(Job, actor, data.job_id, field="job_id")
    circuit = row_for(Circuit, actor, data.circuit_id, field="circuit_id")
    faults = faults_of_observation(data.observation)
    if circuit.machine_id != job.machine_id:
        faults.append(FieldError("circuit_id", "circuit_of_another_machine"))
    refuse_faults(faults)
    made = CircuitObservation.objects.create(
        shop_id=actor.shop_id,
        seen_by_id=actor.member_id,
        **data.model_dump() | {"observation": to_json(data.observation)},
    )
    record(actor, "circuit observed", ("job", data.job_id), observation=made.id)
    return made


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True, rest_name="withdraw")
def withdraw_circuit_observation(*, actor: Actor, data: ObservationWithdrawal) -> CircuitObservation:
    """Keep that an earlier observation was a mistake."""
    refuse_known_id(CircuitObservation, data.id)
    earlier = row_for(CircuitObservation, actor, data.withdraws_id, field="withdraws_id")
    same = earlier.job_id == data.job_id and earlier.circuit_id == data.circuit_id
    if not same or earlier.observation is None:
        refuse_faults([FieldError("withdraws_id", "no_such_observation")])
    made = CircuitObservation.objects.create(
        shop_id=actor.shop_id, seen_by_id=actor.member_id, observation=None, **data.model_dump()
    )
    record(actor, "circuit observation withdrawn", ("job", data.job_id), observation=earlier.id)
    return made
