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
    "needs_review": "This is kept, but someone has to check it.",
    "unknown_command": "This server does not know this command yet; it is kept until the server has been updated.",
    "command_failed": "Something went wrong on our side. It's kept under {trace}.",
    "command_failed_for_good": (
        "Something went wrong on our side, and nothing was changed. Try again; it's logged under {trace}."
    ),
    "device_retired": (
        "This phone was removed by the shop owner. Anything unsent is kept for the shop owner to check."
    ),
    "membership_over": (
        "This person's access had ended when this arrived. It is kept for the shop owner to apply or discard."
    ),
    "never_held": ("Changes of people, phones or the shop aren't kept for later. A shop owner can make this one now."),
    "left_out": "{name} checked this and discarded it.",
    "not_booked": (
        "These hours are for a job that was not accepted, so they are not booked. Once the author of the job has"
        " corrected it, they are added automatically. Or add them by hand to the right job, and discard this."
    ),
    # Of settling an issue.
    "already_settled": "This has been settled; there is nothing left to choose.",
    "already_settled_by": "{name} already settled this and {way}. Your choice changed nothing.",
    "way.conflict_ours": "used the other entry",
    "way.conflict_theirs": "kept what was saved",
    "way.held_ours": "applied it",
    "way.held_theirs": "discarded it",
    "owner_settles": (
        "A phone sent this after it was removed, so the shop owner decides whether to apply or discard it."
    ),
    "evidence_only": (
        "This is kept as evidence and can't take effect by itself; make a new revision and ask the customer again."
    ),
    "still_refused": "This still can't be applied.",
    "sender_role_lacks": "The role of {name} does not include “{permission}”. Do it yourself instead.",
    # Of pushing and pulling.
    "app_too_old": (
        "This version of the app is too old to show what the shop has now. Open the app with a signal and take its new"
        " version; everything written on this phone stays on it and is sent."
    ),
    "bad_device": "Say which device asks: its id, as registered.",
    "bad_part": "Leave “part” out, or ask for “first”.",
    "changes_start_over": "The list cannot go on from there: {reason}. Ask again without “since”.",
    "changes_start_over.fork": "the place is unknown, or the server was restored from a backup",
    "changes_start_over.horizon": "what was removed since then is no longer known",
    "changes_start_over.view": "what this key may see has changed",
    "busy": "The database is busy; send this again in a moment.",
    "fork": "Number {no} of this device was used for another command.",
    "fork_of_id": "This id was used for another command; the device must register again.",
    "gap": "Command {expect} comes before this one; send from there.",
    "unknown_place": "This place in the snapshot is unknown; begin again without “after”.",
    "bytes_out_of_range": "Ask for {least} to {most} bytes.",
    "open_jobs": "Close or cancel what is open for this customer first: {unfinished}.",
}
