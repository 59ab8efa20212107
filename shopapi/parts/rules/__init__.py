"""Rules of parts: pure functions and schemas."""
