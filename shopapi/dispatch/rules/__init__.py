"""The pure rules of dispatch; the app's README.md lists the files."""
