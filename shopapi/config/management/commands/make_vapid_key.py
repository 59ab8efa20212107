"""Make the key that signs push messages."""

from django.core.management.base import BaseCommand

from shopapi.config.vapid import new_private_key


class Command(BaseCommand):
    help = "Print a new key for DRAWBAR_VAPID_KEY. Keep it: with another, every phone must turn notifications on again."

    def handle(self, *args: object, **options: object) -> None:
        self.stdout.write(new_private_key())
