"""calculators"""
