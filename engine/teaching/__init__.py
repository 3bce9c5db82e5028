"""Scenarios for apprentices: whether they hold, and how hard they are."""
