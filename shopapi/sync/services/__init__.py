"""The only writers of this app: pushes, held commands, issues, backups, erasure."""
