"""The pure rules of dispatch; README.md of the app says which file holds what."""
