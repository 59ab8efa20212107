"""Rules of the bench: checks, readings, faults of circuits, taking apart and putting back, tests before release."""
