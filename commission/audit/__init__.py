"""Finished jobs looked at afterwards: is each record whole, and was each step really done."""
