"""Doing a job: its screen, and a card for every kind of step."""
