"""Cross-checks: what no single field shows, found by holding several values against each other."""
