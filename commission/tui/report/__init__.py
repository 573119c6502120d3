"""Writing a job's sheets to files."""
