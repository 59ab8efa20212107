"""English sentences of notices."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "unknown_template": "There is no message type “{key}”. Known types: {known}.",
    "template_not_for_channel": "“{key}” does not go by {channel}, but by {channels}.",
    "unknown_field": "{name} can't be used in this message. You may use {known}.",
    "lone_brace": "A brace stands alone or around something that is no field. You may use {known}.",
    "values_missing": "This message needs {missing}.",
    "not_set_up_email": "Sending email isn't set up here: send it from your own phone.",
    "not_set_up_sms": "Sending text messages isn't set up here: send it from your own phone.",
    "not_set_up_push": "Notifications aren't set up here.",
    # Delivery results.
    "address_opted_out": "This address asked for no more messages of this kind.",
    "no_longer_needed": "This no longer applies.",
    "not_known_whether_sent": "We can't tell if this was sent. Ask, or send it again.",
    "mail_sign_in_refused": "The mail server does not accept this server's sign-in.",
    "mail_unreachable": "The mail server could not be reached ({error}).",
    "mail_refused": "The mail server refused it: {status} {answer}",
    "mail_later": "The mail server asks to try later: {status} {answer}",
    "gateway_unreachable": "{who} could not be reached.",
    "gateway_refused": "{who} refused it ({status}): {answer}",
    "gateway_later": "{who} asks to try later ({status}).",
    "who.sms": "The text message gateway",
    "who.push": "The push service",
    "push_no_device": "Notifications aren't on for any of this person's phones.",
    "push_bad_keys": "This device's keys cannot be encrypted for.",
    "push_gone": "Notifications are no longer on for this phone.",
    # Refusals of addresses and templates.
    "bad_email": "“{address}” is not an email address that works. Check it with the customer.",
    "bad_phone": "“{address}” is not a phone number. {way_out}.",
    "unknown_push_service": "This browser's push service is not one that this server sends to.",
    "one_line": "The subject is one line.",
    "subject_missing": "Enter a subject.",
    "sms_too_long": "A text message takes at most {most_sms} characters.",
    "template_in_english_only": "This message goes to members, in English.",
    "being_sent": "This message is already being sent. Check again in a moment.",
    "not_to_be_sent": "This message was sent, is being sent, or is not to be sent from here.",
    "device_shows_push": "Only a signed-in phone can show notifications.",
}
