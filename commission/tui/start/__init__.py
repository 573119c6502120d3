"""Starting a job: on which bike, by which procedure, with whom."""
