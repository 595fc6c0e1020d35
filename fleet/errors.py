"""What stops a run: one clear line and an exit status."""


class FleetError(Exception):
    """A run cannot go on; the message says what to do about it."""

    exit_code = 3


class UsageError(FleetError):
    """The command was asked for something that makes no sense."""

    exit_code = 2


class UnreadableError(FleetError):
    """A file cannot be read at all."""


class UnwritableError(FleetError):
    """The outputs cannot be put where they were asked for."""


class NothingToJudgeError(FleetError):
    """No tank in any of the workbooks could be judged."""

    exit_code = 1


class DataTableError(FleetError):
    """A table in ``fleet/data`` or a layout file does not hold what it must."""
