"""`python -m commission` is the command `commission`."""

from commission.cli.main import main

main()
