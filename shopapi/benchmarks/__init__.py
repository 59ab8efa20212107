"""The benchmarks of `manage.py benchmark NAME`, one file per name."""
