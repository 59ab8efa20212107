"""Reads of parts."""
