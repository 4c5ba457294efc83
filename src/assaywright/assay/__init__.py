"""What we conclude: observations, corrections, schemes, methods, evaluation, decision, certificate."""
