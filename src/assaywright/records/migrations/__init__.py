"""How the tables came to be as they are; the guards of the events are put back after each."""
