"""Rows of the bench."""
