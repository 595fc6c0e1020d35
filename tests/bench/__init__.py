"""How fast a report is, and beside what; see ``compare.py``."""
