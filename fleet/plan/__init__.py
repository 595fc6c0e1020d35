"""Findings to actions: what is wanted, how much, in what order, and never what."""
