"""What people do: each function is one act, one transaction, one event; it asks for the role that the act needs."""
