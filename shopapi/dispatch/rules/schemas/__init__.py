"""The wire schemas of dispatch, one file per resource.

Lengths are whole centimetres, weights whole kilograms, distances metres, times of the day "HH:MM" in the shop's zone.
"""
