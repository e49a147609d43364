"""python -m rooflayout: as the console script."""

from rooflayout.start import main

main()
