"""What a message says, to whom, when it may go out, and what became of it."""
