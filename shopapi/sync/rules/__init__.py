"""Pure parts of the sync protocol: no Django, no clock, no I/O."""
