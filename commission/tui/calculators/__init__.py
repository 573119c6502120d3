"""The Calculators screen: the list of all calculators, and the form of each."""
