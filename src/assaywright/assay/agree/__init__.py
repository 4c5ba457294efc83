"""Why don't we agree? A customer's figure beside ours: whether they differ at all, and what would explain it."""
