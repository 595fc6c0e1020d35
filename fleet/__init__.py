"""Weekly judgement and printed action sheets for many saltwater tanks."""

__version__ = "0.1.0"
