"""Practice on a virtual bike: choosing one, the bench panel beside the job, and the review."""
