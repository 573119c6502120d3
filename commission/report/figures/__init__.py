"""Pictures of a job: where people look rather than read. Each file makes one kind of figure."""
