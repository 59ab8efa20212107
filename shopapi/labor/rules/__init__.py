"""Clocked time: what an entry is, how clocks meet, and what is made of the hours."""
