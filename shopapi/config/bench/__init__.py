"""What `manage.py bench NAME` measures, one file a name."""
