"""Everything `manage.py up` and `manage.py test` need before Django can be imported.

Only the standard library is imported here: on a bare machine nothing else is there yet.
"""
