"""Clocked time: the only writers of this app."""
