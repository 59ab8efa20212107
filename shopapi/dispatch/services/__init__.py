"""Rigs, stops, driving, planning, paper and calendars: the only writers of this app."""
