"""English sentences of notices."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "unknown_template": "There is no kind of message “{key}”. Known are: {known}.",
    "template_not_for_channel": "“{key}” does not go by {channel}, but by {channels}.",
    "unknown_field": "{name} is not known here. You may use {known}.",
    "lone_brace": "A brace stands alone or around something that is no field. You may use {known}.",
    "values_missing": "This message needs {missing}.",
    "not_set_up_email": "Sending mail is not set up here: send it from your own phone.",
    "not_set_up_sms": "Sending text messages is not set up here: send it from your own phone.",
    "not_set_up_push": "Push messages are not set up here.",
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
