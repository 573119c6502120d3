"""The workshop's register: its people, their roles and keys, each as it stood at any time. Pure."""
