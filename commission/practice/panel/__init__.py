"""The bench as a person has it: what can be done to a virtual bike, and what is seen of it."""
