"""English sentences of sync: why a command is held or refused, and of the exchange itself."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    # Why a command is held or rejected.
    "lost_for_now": (
        "The server was restored from a backup and lacks something that this came after."
        " Once that was sent again, this follows by itself."
    ),
    "not_here_yet": (
        "This belongs to something that is not here: it was not accepted, or another phone has not sent it yet."
        " Once it is here, this follows by itself."
    ),
    "needs_review": "This is kept, but a person must look at it.",
    "unknown_command": "This server does not know this command yet; it is kept until the server has been updated.",
    "command_failed": "Something failed here, not with you. It is kept under {trace}.",
    "command_failed_for_good": (
        "Something failed here, not with you, and nothing was changed. Try again; it is noted under {trace}."
    ),
    "device_retired": (
        "This device was signed off by the owner. What it had not sent yet is kept for the owner to look at."
    ),
    "membership_over": (
        "The membership had ended when this arrived. It is kept for the owner to put in place or leave out."
    ),
    "never_held": (
        "A change of people, devices or the shop is not kept to be carried out later. An owner can make it now."
    ),
    "left_out": "{name} looked at this and left it out.",
    "not_booked": (
        "These hours are for a job that was not accepted, so they are not booked. Once the author of the job has"
        " corrected it, they are added automatically. Or add them by hand to the right job, and leave this out."
    ),
    # Of settling an issue.
    "already_settled": "This has settled itself meanwhile; there is nothing to choose any more.",
    "already_settled_by": "{name} settled this already and {way}. Your choice changed nothing.",
    "way.conflict_ours": "took what was written",
    "way.conflict_theirs": "kept what was there",
    "way.held_ours": "put in place what was written",
    "way.held_theirs": "left out what was written",
    "owner_settles": (
        "A phone sent this after it was signed off, so the shop owner decides whether it is put in place or left out."
    ),
    "evidence_only": (
        "This is kept as evidence and cannot take effect by itself; make a new revision and ask the customer again."
    ),
    "still_refused": "This still cannot be carried out.",
    "sender_role_lacks": "The role of {name} does not include “{permission}”. Do it yourself instead.",
    # Of pushing and pulling.
    "app_too_old": (
        "This version of the app is too old to show what the shop has now. Open the app with a signal and take its new"
        " version; everything written on this phone stays on it and is sent."
    ),
    "bad_device": "Say which device asks: its id, as registered.",
    "busy": "The database is busy; send this again in a moment.",
    "fork": "Number {no} of this device was used for another command.",
    "fork_of_id": "This id was used for another command; the device must register again.",
    "gap": "Command {expect} comes before this one; send from there.",
    "unknown_place": "This place in the snapshot is unknown; begin again without “after”.",
    "bytes_out_of_range": "Ask for {least} to {most} bytes.",
    "open_jobs": "Close or cancel what is open for this customer first: {unfinished}.",
}
