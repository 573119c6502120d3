"""The screens of audits; `opening` has the ways to them."""
