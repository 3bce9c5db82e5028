"""An apprentice's work on a simulated furnace: what was done, what it answered, and marks."""
