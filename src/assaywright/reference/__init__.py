"""What is known: cited tables, one file per edition, never edited. The only reader of ``reference/data``."""
