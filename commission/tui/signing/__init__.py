"""Signing on the screen: passphrases typed unseen."""
