"""`lightoff scenario`: list, write, check, seal and print scenarios."""
