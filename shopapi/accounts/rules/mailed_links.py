"""Links sent by mail to people who sign in: their schemas, their limits and the texts of the mails."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Annotated

from pydantic import Field

from shopapi.accounts.rules.emails import Email
from shopapi.accounts.rules.passwords import NewPassword
from shopapi.core.enums import TextEnum
from shopapi.core.languages import Language
from shopapi.core.schema import Schema, Secret

LINK_LIFE = timedelta(hours=1)


LINKS_PER_HOUR = 3
"""So many links of one purpose are sent to one person in an hour; asking again does nothing."""


ASKS_PER_NETWORK = 20
"""So many times a network may ask for a new password in a window of `TRY_WINDOW`."""


class MailPurpose(TextEnum):
    RESET = "reset"
    ADDRESS = "address"


LinkToken = Annotated[Secret, Field(max_length=128, description="What comes after the `#` of the mailed link.")]


class ResetRequest(Schema):
    """Who asks for a new password."""

    email: Email


class ResetPassword(Schema):
    """A new password by a mailed link."""

    token: LinkToken
    password: NewPassword


class AddressChange(Schema):
    """A new address to sign in with, and the current password."""

    email: Email
    password: Annotated[Secret, Field(max_length=128)]


class AddressConfirmation(Schema):
    """The mailed link by which a new address is confirmed."""

    token: LinkToken


class MailText(TextEnum):
    """What a mail to a person who signs in is about."""

    RESET = "reset"
    RESET_DONE = "reset_done"
    CONFIRM_ADDRESS = "confirm_address"
    ADDRESS_ASKED = "address_asked"
    ADDRESS_CHANGED = "address_changed"


# Subject and body by language. No name of a shop or a person: who reads this mailbox is not known.
MAILS: Mapping[Language, Mapping[MailText, tuple[str, str]]] = {
    "en": {
        MailText.RESET: (
            "A new password for Drawbar",
            (
                "Somebody asked for a new password for {email}. If it was you, set it here within one hour:\n\n"
                "{link}\n\nThe link works once. If it was not you, do nothing: the password stays as it is.\n"
            ),
        ),
        MailText.RESET_DONE: (
            "Your password for Drawbar was changed",
            (
                "The password for {email} was just changed by a link in a mail, and every phone was signed out. If it "
                "was not you, ask for a new password at {origin} and tell the shop owner.\n"
            ),
        ),
        MailText.CONFIRM_ADDRESS: (
            "Confirm your address for Drawbar",
            (
                "Confirm within one hour that you want to sign in to Drawbar with {new_email}:\n\n{link}\n\n"
                "If you did not ask for this, do nothing.\n"
            ),
        ),
        MailText.ADDRESS_ASKED: (
            "A new address for Drawbar",
            (
                "Somebody who knows your password asked to sign in to Drawbar with {new_email} in place of {email}. "
                "It changes once that address is confirmed. If it was not you, change your password now at {origin}: "
                "that stops it. Then tell the shop owner.\n"
            ),
        ),
        MailText.ADDRESS_CHANGED: (
            "Your address for Drawbar was changed",
            (
                "From now on you sign in to Drawbar with {new_email}; {email} no longer works. If it was not you, tell "
                "the shop owner at once.\n"
            ),
        ),
    },
    "es": {
        MailText.RESET: (
            "Una contraseña nueva para Drawbar",
            (
                "Alguien pidió una contraseña nueva para {email}. Si fue usted, créela aquí antes de una hora:\n\n"
                "{link}\n\nEl enlace sirve una sola vez. Si no fue usted, no haga nada: la contraseña no cambia.\n"
            ),
        ),
        MailText.RESET_DONE: (
            "Su contraseña de Drawbar cambió",
            (
                "La contraseña de {email} se acaba de cambiar con un enlace de correo, y se cerró la sesión en todos "
                "los teléfonos. Si no fue usted, pida una contraseña nueva en {origin} y avise a quien "
                "dirige el taller.\n"
            ),
        ),
        MailText.CONFIRM_ADDRESS: (
            "Confirme su correo para Drawbar",
            (
                "Confirme antes de una hora que quiere iniciar sesión en Drawbar con {new_email}:\n\n{link}\n\n"
                "Si no lo pidió, no haga nada.\n"
            ),
        ),
        MailText.ADDRESS_ASKED: (
            "Un correo nuevo para Drawbar",
            (
                "Alguien que conoce su contraseña pidió iniciar sesión en Drawbar con {new_email} en lugar de {email}. "
                "Cambia cuando se confirme ese correo. Si no fue usted, cambie ahora su contraseña en {origin}: así se "
                "detiene. Después avise a quien dirige el taller.\n"
            ),
        ),
        MailText.ADDRESS_CHANGED: (
            "Su correo de Drawbar cambió",
            (
                "Desde ahora inicia sesión en Drawbar con {new_email}; {email} ya no sirve. Si no fue usted, avise "
                "enseguida a quien dirige el taller.\n"
            ),
        ),
    },
}
