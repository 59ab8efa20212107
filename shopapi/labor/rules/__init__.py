"""Rules of clocked time: entries, overlaps, days and weeks, pay, typical hours."""
