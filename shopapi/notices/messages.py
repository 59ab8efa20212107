"""English sentences of notices."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "unknown_template": "There is no kind of message “{key}”. Known are: {known}.",
    "template_not_for_channel": "“{key}” does not go by {channel}, but by {channels}.",
    "unknown_field": "{name} is not known here. You may use {known}.",
    "lone_brace": "A brace is missing its other half, or the text between braces is not a field. You may use {known}.",
    "values_missing": "This message needs {missing}.",
    "not_set_up_email": "Sending mail is not set up here: send it from your own phone.",
    "not_set_up_sms": "Sending text messages is not set up here: send it from your own phone.",
    "not_set_up_push": "Push messages are not set up here.",
    # Delivery results.
    "address_opted_out": "This address asked for no more messages of this kind.",
    "no_longer_needed": "What this says or asks is no longer so.",
    "not_known_whether_sent": "It cannot be known whether this went out. Ask, or send it again.",
    "mail_sign_in_refused": "The mail server does not accept this server's sign-in.",
    "mail_unreachable": "The mail server could not be reached ({error}).",
    "mail_refused": "The mail server refused it: {status} {answer}",
    "mail_later": "The mail server asks to try later: {status} {answer}",
    "gateway_unreachable": "{who} could not be reached.",
    "gateway_refused": "{who} refused it ({status}): {answer}",
    "gateway_later": "{who} asks to try later ({status}).",
    "who.sms": "The text message gateway",
    "who.push": "The push service",
    "push_no_device": "No device of this member shows push messages.",
    "push_bad_keys": "This device's keys cannot be encrypted for.",
    "push_gone": "This device no longer shows push messages.",
    # Refusals of addresses and templates.
    "bad_email": "“{address}” is not a mail address that can be written to. Check it with the customer.",
    "bad_phone": "“{address}” is not a telephone number. {way_out}.",
    "unknown_push_service": "This browser's push service is not one that this server sends to.",
    "one_line": "The subject is one line.",
    "subject_missing": "Write a subject.",
    "sms_too_long": "A text message takes at most {most_sms} characters.",
    "being_sent": "This message is on its way already. Look again in a moment.",
    "not_to_be_sent": "This message was sent, is being sent, or is not to be sent from here.",
    "device_shows_push": "Only a signed-in device can show push messages.",
}
