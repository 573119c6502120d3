"""The screens of fault trials; `opening` has the ways to them."""
