"""What to do next: what ways on cost, how they are compared, and how sure the choice is."""
