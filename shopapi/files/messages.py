"""English sentences of files."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "checksum_mismatch": "These bytes were corrupted on the way; send them again.",
    "upload_differs": "What came is not what was announced: its SHA-256 differs. Send it again from the first byte.",
    "wrong_version": "Send Tus-Resumable: {version}; this server speaks no other version.",
    "picture_too_large": "A photo may have at most {most} bytes; send a smaller one.",
    "piece_too_large": "Send {most} bytes at most at a time.",
    "too_many_bytes": "Only {missing} more bytes belong to this photo.",
    "upload_day_full": (
        "This shop may send {most} MB of photos a day, and has reached that. They stay on the phone and continue"
        " tomorrow; the person who runs the server can raise DRAWBAR_UPLOAD_MB_A_DAY."
    ),
    "too_many_uploads": (
        "{most} photos of this shop are half sent. This one stays on the phone until others are done;"
        " the person who runs the server can raise DRAWBAR_OPEN_UPLOADS."
    ),
    "wrong_offset": "The next byte awaited is number {offset}; ask where the upload is and continue from there.",
    "header_missing": "Send a header {header} with a whole number.",
    "metadata_missing": "Send a header Upload-Metadata with `attachment` and the id of the attachment in base64.",
    "checksum_malformed": "Send Upload-Checksum as sha256 or sha1 and the digest in base64.",
    "no_picture_yet": "This photo hasn't arrived yet, or is still being processed.",
    "picture_gone": "This photo is missing.",
    "picture_not_kept": "The photo couldn't be saved: {why}.",
    # Why a picture is refused.
    "no_picture": "Can't read this photo; send JPEG, PNG, WebP or HEIC.",
    "damaged": "This photo is damaged: it ends too early or has invalid data. Retake it.",
    "too_many_scans": "This photo has more scans than any camera makes; send it as an ordinary JPEG.",
    "too_many_pixels": (
        "This photo has too many pixels: 52 million are the most as an ordinary JPEG, 16 million as WebP, "
        "30 million otherwise. Send a smaller one."
    ),
    "unfolds_too_far": "This file is too small for the size of its photo; send the photo smaller.",
    # Why a voice note is refused.
    "no_voice_note": "This isn't a sound recording that can be kept; send WebM or MP4 as browsers record them.",
    "not_only_sound": "This recording has more than one track of sound; send a voice note of sound alone.",
    "voice_too_long": "A voice note may last 3 minutes; record a shorter one.",
    "voice_too_large": "A voice note may have 6 MB; record a shorter one.",
    # What refuses an upload.
    "length_differs": "This photo was announced with {bytes} bytes, not {length}.",
}
