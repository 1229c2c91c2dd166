"""`python -m templgen` is the command `templgen`."""

from templgen.cli import main

main()
