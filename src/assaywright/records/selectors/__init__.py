"""Questions to the records, answered for pages and commands: plain values, ready to be shown."""
