"""The checks, by what they look at: each a pure function from a record to findings."""
