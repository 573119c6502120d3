"""What the exit code of a command says."""

from enum import IntEnum


class Exit(IntEnum):
    """Exit codes; those above 128 are signals, as the shell counts them."""

    DONE = 0
    """Done, and what was looked at is good."""
    NOT_GOOD = 1
    """Done, and what was looked at is not good: a problem, a broken chain."""
    COULD_NOT = 2
    """Could not be done: bad usage, no store, no terminal."""
    UNFINISHED = 3
    """A job was left before it was finished; what was confirmed is recorded."""
    HANGUP = 129
    INTERRUPTED = 130
    TERMINATED = 143
