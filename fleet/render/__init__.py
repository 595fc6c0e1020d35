"""From a finished report to files."""
