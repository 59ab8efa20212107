"""Held commands that may run by now: those an earlier build could not run, and those that waited for something."""

from datetime import timedelta
from uuid import UUID

from shopapi.core.clock import now
from shopapi.core.feed import claim_commit_seq
from shopapi.core.tenancy import in_shop
from shopapi.sync import queries
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.outcomes import CommandStatus, HeldReason
from shopapi.sync.services.execution import open_held_issue, rerun_command, run_unblocked
from shopapi.sync.services.push import PUSH_COMMANDS

# A phone may be offline for days; after that, commands that still wait get an issue.
WAITS_UNSEEN = timedelta(days=3)


def retry_held_commands(shop_id: UUID) -> tuple[int, int]:
    """Run again what an earlier build did not know or failed on. Returns how many ran, and how many are still held.

    Each command is tried in the order in which it was received, under its own id, so repeating this is harmless.
    """
    with in_shop(shop_id):
        held = LoggedCommand.objects.filter(
            shop=shop_id, status=CommandStatus.HELD, code__in=[HeldReason.UNKNOWN, HeldReason.INTERNAL]
        )
        if not held.exists():
            return 0, 0
        # The per-shop write lock before any row, as every writer.
        seq, ran = claim_commit_seq(shop_id), 0
        for command_id in list(held.order_by("received_at", "device", "no").values_list("id", flat=True)):
            ran += rerun_command(held.get(id=command_id), seq).took_effect
        run_unblocked(shop_id, seq)
        return ran, held.count()


def process_waiting_commands(*, shop_id: UUID) -> None:
    """Run the commands whose missing row or command has arrived; open an issue for what has waited for too long.

    A push does the first for what it brings itself; this is for rows that came over REST or from a task.
    """
    with in_shop(shop_id):
        late = now() - WAITS_UNSEEN
        if not (queries.unblocked_commands(shop_id).exists() or queries.overdue_commands(shop_id, since=late).exists()):
            return
        seq = claim_commit_seq(shop_id)
        run_unblocked(shop_id, seq, PUSH_COMMANDS)
        for logged in queries.overdue_commands(shop_id, since=late):
            if logged.earlier is None:
                open_held_issue(logged)
            else:
                # The phone with the command before this one does not come back: this runs as if it was new.
                logged.earlier = None
                rerun_command(logged, seq, PUSH_COMMANDS)
        run_unblocked(shop_id, seq, PUSH_COMMANDS)
