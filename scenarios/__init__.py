"""Example scenarios, invented."""
