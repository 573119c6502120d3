"""The register on the screen: people, roles and keys."""
