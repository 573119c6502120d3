"""The durable record: lines, their chain, the store, and the way to work on one job."""
