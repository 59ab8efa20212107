"""Carrying out what phones send, and settling what people must decide."""
