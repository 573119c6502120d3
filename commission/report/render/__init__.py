"""Documents as bytes: HTML, PDF, CSV, JSON; `formats` finds the one a file's name asks for."""
