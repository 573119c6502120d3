"""What a procedure can say, how it is loaded, and how it is checked before a job starts."""
