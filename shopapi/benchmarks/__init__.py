"""What `manage.py benchmark NAME` measures, one file a name."""
