"""From findings to actions: what to do, how much, in what order."""
