"""The resources of the bench."""

from shopapi.accounts.rules import Permission
from shopapi.bench.models import (
    CautionSeen,
    Check,
    CheckList,
    Circuit,
    CircuitObservation,
    Fastener,
    FastenerMove,
    Gauge,
    PutBackRule,
    Reading,
    RemovalStep,
    RunTest,
)
from shopapi.bench.models.labels import LabelSheet
from shopapi.bench.rules.cautions import CautionSeenRow
from shopapi.bench.rules.checks import CheckListRow, CheckRow
from shopapi.bench.rules.circuit import CircuitObservationRow, CircuitRow
from shopapi.bench.rules.fasteners import FastenerMoveRow, FastenerRow
from shopapi.bench.rules.gauges import GaugeRow
from shopapi.bench.rules.labels import LabelSheetRow
from shopapi.bench.rules.put_back import PutBackRuleRow
from shopapi.bench.rules.readings import ReadingRow
from shopapi.bench.rules.removal import RemovalStepRow
from shopapi.bench.rules.run_tests import RunTestRow
from shopapi.bench.services import checks, circuit, fasteners, gauges, put_back, readings, removal
from shopapi.bench.services.cautions import acknowledge_caution
from shopapi.bench.services.labels import print_labels
from shopapi.bench.services.run_tests import record_run_test
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
    Resource(
        "check_list",
        CheckList,
        CheckListRow,
        reads=Permission.READ,
        commands=(checks.add_check_list, checks.edit_check_list, checks.remove_check_list),
        columns=("name", "machine_kind", "purpose"),
        search=("name",),
    ),
    Resource(
        "check",
        Check,
        CheckRow,
        reads=Permission.READ,
        filters=("job_id", "result"),
        commands=(checks.record_check,),
        computed_fields=("checked_by_id",),
        columns=("job", "item_words", "result", "critical", "checked_at", "checked_by"),
        column_filters=("result",),
    ),
    Resource(
        "circuit",
        Circuit,
        CircuitRow,
        reads=Permission.READ,
        filters=("machine_id",),
        commands=(circuit.add_circuit, circuit.edit_circuit, circuit.remove_circuit),
        columns=("machine", "name", "changed_at"),
    ),
    Resource(
        "circuit_observation",
        CircuitObservation,
        CircuitObservationRow,
        reads=Permission.READ,
        filters=("job_id", "circuit_id"),
        commands=(circuit.record_circuit_observation, circuit.withdraw_circuit_observation),
        computed_fields=("seen_by_id",),
        columns=("job", "circuit", "observation", "withdraws", "seen_by"),
    ),
    Resource(
        "run_test",
        RunTest,
        RunTestRow,
        reads=Permission.READ,
        filters=("job_id", "kind"),
        commands=(record_run_test,),
        computed_fields=("member_id",),
        columns=("job", "kind", "item", "outcome", "value", "unit", "tested_at", "member"),
        column_filters=("kind", "outcome"),
    ),
    Resource(
        "removal_step",
        RemovalStep,
        RemovalStepRow,
        reads=Permission.READ,
        filters=("job_id",),
        commands=(
            removal.record_removal,
            removal.edit_removal_step,
            removal.remove_removal_step,
            removal.put_step_back,
            removal.undo_put_back,
        ),
        computed_fields=("taken_by_id", "back_at", "back_by_id"),
        columns=("job", "position", "what", "place", "kind", "bag", "taken_at", "back_at"),
        column_filters=("kind", "loosened"),
    ),
    Resource(
        "fastener",
        Fastener,
        FastenerRow,
        reads=Permission.READ,
        filters=("step_id",),
        commands=(fasteners.record_fastener, fasteners.edit_fastener, fasteners.remove_fastener),
        columns=("step", "thread", "length", "head", "place", "count", "torque_critical"),
        column_filters=("torque_critical", "one_use"),
    ),
    Resource(
        "fastener_move",
        FastenerMove,
        FastenerMoveRow,
        reads=Permission.READ,
        filters=("fastener_id", "kind"),
        commands=(fasteners.record_fastener_move,),
        computed_fields=("member_id",),
        columns=("fastener", "kind", "count", "torque", "torque_unit", "tool", "moved_at", "member"),
        column_filters=("kind",),
    ),
    Resource(
        "put_back_rule",
        PutBackRule,
        PutBackRuleRow,
        reads=Permission.READ,
        filters=("job_id",),
        commands=(put_back.add_put_back_rule, put_back.remove_put_back_rule),
        columns=("job", "before", "after", "reason"),
    ),
    Resource(
        "gauge",
        Gauge,
        GaugeRow,
        reads=Permission.READ,
        filters=("archived",),
        commands=(gauges.add_gauge, gauges.edit_gauge),
        columns=("name", "kind", "quantity", "unit", "uncertainty", "calibrated_on", "archived"),
        column_filters=("quantity", "archived"),
        search=("name",),
    ),
    Resource(
        "reading",
        Reading,
        ReadingRow,
        reads=Permission.READ,
        filters=("job_id", "machine_id", "verdict"),
        commands=(readings.record_reading,),
        computed_fields=("machine_id", "si", "verdict", "taken_by_id"),
        columns=("job", "what", "place", "value", "unit", "verdict", "taken_at", "taken_by"),
        column_filters=("verdict",),
        search=("what",),
    ),
    Resource(
        "label_sheet",
        LabelSheet,
        LabelSheetRow,
        reads=Permission.READ,
        filters=("job_id",),
        commands=(print_labels,),
        columns=("created_at", "job", "kind", "first", "count", "state", "reason"),
        reasons=("reason",),
        column_filters=("kind", "state"),
    ),
)
