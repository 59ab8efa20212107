"""English sentences of files."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "checksum_mismatch": "These bytes were changed on the way; send them again.",
    "upload_differs": "What came is not what was announced: its SHA-256 differs. Send it again from the first byte.",
    "wrong_version": "Send Tus-Resumable: {version}; this server speaks no other version.",
    "picture_too_large": "A picture may have {most} bytes at most; send a smaller one.",
    "piece_too_large": "Send {most} bytes at most at a time.",
    "too_many_bytes": "Only {missing} more bytes belong to this picture.",
    "upload_day_full": (
        "This shop may send {most} MB of pictures a day, and that is reached. They stay on the phone and go"
        " on tomorrow; the person who runs the server can raise DRAWBAR_UPLOAD_MB_A_DAY."
    ),
    "too_many_uploads": (
        "{most} pictures of this shop are half sent. This one stays on the phone until others are through;"
        " the person who runs the server can raise DRAWBAR_OPEN_UPLOADS."
    ),
    "wrong_offset": "The next byte awaited is number {offset}; ask for the upload's offset and continue there.",
    "header_missing": "Send a header {header} with a whole number.",
    "metadata_missing": "Send a header Upload-Metadata with `attachment` and the id of the attachment in base64.",
    "checksum_malformed": "Send Upload-Checksum as sha256 or sha1 and the digest in base64.",
    "no_picture_yet": "This picture has not come yet, or is still being made.",
    "picture_gone": "This picture is not where it was kept.",
    "picture_not_kept": "The picture could not be kept: {why}.",
    # Why a picture is refused.
    "no_picture": "This is not a picture that can be taken here; send JPEG, PNG, WebP or HEIC.",
    "damaged": "This picture is damaged: it ends too early or holds what no picture holds. Take it again.",
    "too_many_scans": "This picture is built up in more passes than any camera makes; send it as an ordinary JPEG.",
    "too_many_pixels": (
        "This picture has too many pixels: 52 million are the most as an ordinary JPEG, 16 million as WebP, "
        "30 million otherwise. Send a smaller one."
    ),
    "unfolds_too_far": "This file is tiny for the size that its picture says; send the picture smaller.",
    # What refuses an upload.
    "length_differs": "This picture was announced with {bytes} bytes, not {length}.",
}
