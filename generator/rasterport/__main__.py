"""`python -m rasterport`."""

from rasterport.cli import main

main()
