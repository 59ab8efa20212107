"""Notices posted and sent, words, opt-outs and push: the only writers of this app."""
