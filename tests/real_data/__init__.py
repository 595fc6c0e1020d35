"""Real readings of other people, end to end."""
