"""The sheets that a job's record is made into, and the sections they share."""
