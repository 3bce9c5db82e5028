"""Many diagnoses played against simulated furnaces, counted, and compared."""
