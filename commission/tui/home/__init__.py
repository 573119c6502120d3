"""The first screen: the bench's jobs."""
