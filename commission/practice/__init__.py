"""The virtual bike: practice without hardware, and proof of which faults a procedure catches."""
