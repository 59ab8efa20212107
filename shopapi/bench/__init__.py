"""The bench: looking over, measuring, finding the fault, taking apart, putting back and proving."""
