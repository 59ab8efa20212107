"""Writes of shops, members, invitations, sign-ins, devices and API tokens: the only writer of this app."""
