"""Reads of the bench."""
