"""`lightoff draw`: the sequence, the ladder diagram and the timing chart, made from the model."""
