"""commission: guides, computes, proves and records the commissioning of a motor controller."""

__version__ = "0.1.0"
