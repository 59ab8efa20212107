"""Fill an empty installation with the invented demo shop."""

from time import monotonic
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from shopapi.config.demo.story import read_story
from shopapi.config.demo.telling import tell_story
from shopapi.core import clock
from shopapi.core.errors import Conflict


class Command(BaseCommand):
    help = "Fill an empty installation with the invented demo shop, its last day being yesterday."

    def handle(self, *args: Any, **options: Any) -> None:
        begun = monotonic()
        story = read_story(settings.ROOT / "fixtures" / "demo")
        try:
            tell_story(story, today=clock.today(story.opening.shop["zone"]))
        except Conflict as refused:
            if refused.code != "shop_exists":
                raise
            raise CommandError(f"The demo needs an empty installation: {refused.words}", returncode=2) from None
        machines = sum(len(person.machines) for person in story.people)
        self.stdout.write(
            f"Demo shop “{story.opening.shop['name']}”: {len(story.people)} customers, {machines} machines, "
            f"{len(story.jobs)} jobs in {monotonic() - begun:.1f} s. "
            f"Sign in as {story.opening.members[0].email} with {story.opening.password}."
        )
