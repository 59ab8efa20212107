"""English sentences of accounts."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "already_here": "{name} already signs in with this address.",
    "has_left": "{name} already has this address and has left. Restore their access instead.",
    "invitation_accepted": "This invitation has already been used. Sign in with the password you set then.",
    "invitation_withdrawn": "The shop has withdrawn this invitation. Ask the shop owner for a new one.",
    "invitation_expired": "This invitation has expired. Ask the shop owner for a new one.",
    "too_many_passwords_minutes": "Too many wrong passwords. Wait {minutes} minutes, then try again.",
    "too_many_passwords_seconds": "Too many wrong passwords. Wait {seconds} seconds, then try again.",
    "too_many_invitations": "Too many tries. Wait five minutes, then try again.",
    "closed_upside_down": "A time you're closed ends before it starts, or is longer than a year. Correct its days.",
    "csrf_failed": (
        "This browser did not send back its sign-in cookie. Allow cookies for this site and reload the page."
    ),
    "membership_ended": "Your access has ended. Ask the shop owner.",
    "shop_exists": "There is already a shop on this server. Its owner can add people.",
    "has_joined": "{name} has already joined. End their access instead.",
    "invitation_key_gone": "This link no longer works because the server's key changed. Invite them again.",
    "member_known": "Ask the shop owner for a new invitation.",
    "wrong_password_here": "This email already signs in here. Enter its current password.",
    "last_owner": "A shop needs an owner. Add another owner first, then end this person's access.",
    "email_taken": "That email is already in use.",
    "wrong_credentials": "Wrong email or password.",
    "password_too_common": "This password is on the list of common ones that are tried first. Choose another one.",
    "password_like_email": "This password is too much like the email address. Choose another one.",
    "password_all_digits": "This password is only digits. Add letters or words.",
    "link_over": "This link has been used or is too old. Ask for a new one.",
    "no_mail_server": "This server sends no mail. Ask the person who runs it.",
    "too_many_resets": "Too many tries. Wait five minutes, then ask again.",
    "too_many_links": "Three links were sent within the last hour. Use the newest, or wait.",
    "not_your_password": "That isn't your current password.",
    "key_beyond_own": "A key can do no more than you can, and you can't: {permissions}.",
    "audit_shows_costs": "The audit trail names costs. Choose that the key sees costs as well, or leave the trail out.",
    "key_ends_in_past": "This end has passed. Choose a later day, or none.",
    "key_needs_member": "A key acts as a member. Sign in to make one.",
    "key_is_over": "This key was revoked. Make a new one.",
    "too_many_keys": "A shop has at most {most} keys in use. Revoke one that is not used any more.",
    "member_registers_device": "Only a member can register a device.",
}
