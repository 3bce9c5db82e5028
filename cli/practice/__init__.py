"""`lightoff practice` at the terminal: the talk, its screens, the marks."""
