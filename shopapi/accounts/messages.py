"""English sentences of accounts."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "already_here": "{name} signs in with this address.",
    "has_left": "{name} signs in with this address and has left. Take them back instead.",
    "invitation_accepted": "This invitation was used already. Sign in with the password that was set then.",
    "invitation_withdrawn": "The shop has taken this invitation back. Ask the owner of the shop for a new one.",
    "invitation_expired": "This invitation is too old. Ask the owner of the shop for a new one.",
    "too_many_passwords_minutes": "Too many wrong passwords. Wait {minutes} minutes, then try again.",
    "too_many_passwords_seconds": "Too many wrong passwords. Wait {seconds} seconds, then try again.",
    "too_many_invitations": "Too many tries. Wait five minutes, then try again.",
    "csrf_failed": (
        "This browser did not send back its sign-in cookie. Allow cookies for this site and reload the page."
    ),
    "membership_ended": "Your membership has ended. Ask the owner of the shop.",
    "shop_exists": "There is a shop already; its owner can add members.",
    "has_joined": "{name} has joined already. End the membership instead.",
    "invitation_key_gone": "This link was made under a key that is gone. Invite them again.",
    "member_known": "Ask the owner of the shop for a new invitation.",
    "wrong_password_here": "This address signs in here already. Type the password that it has.",
    "last_owner": "A shop needs an owner. Let another owner join first, then end this membership.",
    "email_taken": "This address signs in somebody already; take another.",
    "wrong_credentials": "This address and password do not belong together.",
    "not_your_password": "This is not your password until now.",
    "member_registers_device": "Only a member can register a device.",
}
