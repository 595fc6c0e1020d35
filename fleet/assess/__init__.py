"""From measurements to findings: what is so, and why."""
