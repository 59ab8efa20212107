"""The fault in a start or kill circuit: what explains the observations, and what to test next."""
