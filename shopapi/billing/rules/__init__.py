"""Rules of billing: pure functions and schemas."""
