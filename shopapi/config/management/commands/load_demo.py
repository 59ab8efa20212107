"""Fill an empty installation with the invented demo shop."""

from time import monotonic
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from shopapi.core import clock
from shopapi.core.errors import Conflict
from shopapi.core.rendering import render
from shopapi.demo.loader import load_scenario
from shopapi.demo.scenario import read_scenario


class Command(BaseCommand):
    help = "Fill an empty installation with the invented demo shop, its last day being yesterday."

    def handle(self, *args: Any, **options: Any) -> None:
        begun = monotonic()
        story = read_scenario(settings.ROOT / "fixtures" / "demo")
        try:
            load_scenario(story, today=clock.today(story.opening.shop["zone"]))
        except Conflict as refused:
            if refused.code != "shop_exists":
                raise
            raise CommandError(
                f"The demo needs an empty installation: {render(refused.reason)}", returncode=2
            ) from None
        machines = sum(len(person.machines) for person in story.people)
        self.stdout.write(
            f"Demo shop “{story.opening.shop['name']}”: {len(story.people)} customers, {machines} machines, "
            f"{len(story.jobs)} jobs in {monotonic() - begun:.1f} s. "
            f"Sign in as {story.opening.members[0].email} with {story.opening.password}."
        )
