"""`audit heads`, `audit check`, `audit server`: where each audit trail ends, whether it holds, and that of no shop."""

import json
from argparse import ArgumentParser
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError

from shopapi.accounts.rules.security_events import SERVER
from shopapi.core.audit_chain import ChainBreak, breaks, heads
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop

WORDS = {
    "missing": "events before number {no} are missing",
    "changed": "event number {no} was changed",
    "details": "the details of event number {no} were changed",
    "end": "the newest events, up to number {no}, are missing",
    "head": "the end of its trail is missing",
    "erased": "details were erased from more events than its erasures of customers tell of",
    "other": "event number {no} is not the one that was noted",
}


class Command(BaseCommand):
    help = (
        "heads: print the end of each shop's audit trail as JSON; keep it on another machine. "
        "check: verify every trail, with --noted also against heads that were kept; exit code 1 if one does not hold. "
        "server: print the trail of what belongs to no shop, such as refused sign-ins with an unknown email."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("what", choices=["heads", "check", "server"])
        parser.add_argument("--noted", type=Path, help="check: a file that `audit heads` printed")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["what"] == "heads":
            found = {str(shop_id): {"no": no, "digest": digest} for shop_id, (no, digest) in heads().items()}
            self.stdout.write(json.dumps(found, indent=1))
            return
        if options["what"] == "server":
            with in_shop(SERVER):
                for event in AuditEvent.objects.filter(shop_id=SERVER).order_by("no"):
                    self.stdout.write(f"{event.at.isoformat()} {event.event} {json.dumps(event.details)}")
            return
        broken = breaks(_noted(options["noted"]) if options["noted"] else {})
        for one in broken:
            self.stderr.write(_sentence(one))
        if broken:
            raise CommandError("The audit trail does not hold.")
        self.stdout.write(f"Every audit trail holds: {len(heads())}.")


def _sentence(found: ChainBreak) -> str:
    whose = "Server" if found.shop_id == SERVER else f"Shop {found.shop_id}"
    return f"{whose}: {WORDS[found.what].format(no=found.no)}."


def _noted(file: Path) -> Mapping[UUID, tuple[int, str]]:
    try:
        content = json.loads(file.read_text(encoding="utf-8"))
        return {UUID(shop_id): (int(head["no"]), str(head["digest"])) for shop_id, head in content.items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        raise CommandError(f"{file} is not a file that `audit heads` printed.") from None
