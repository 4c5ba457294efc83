"""What happened: append-only, chained events, the tables made from them, and the bridge to worksheets."""
