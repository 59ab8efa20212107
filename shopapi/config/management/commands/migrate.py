"""Django's `migrate`, which also says when a table is not yet written down as its shop's."""

from django.core.management.commands import migrate

from shopapi.config.autodetector import ShopAutodetector


class Command(migrate.Command):
    autodetector = ShopAutodetector
