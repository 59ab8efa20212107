"""Reads of billing: rows for devices, and plain data for the rules."""
