"""The trade's calculations: declared once, computed on SI floats, shown with their source.

`base` says what a declaration is, `run` applies one, `catalogue` finds them by name, `typed` is the
edge where people type numbers with units, `describe` is the text made from a declaration. Every
other module is a topic.
"""
