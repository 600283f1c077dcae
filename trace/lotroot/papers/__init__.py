"""Which papers leave the house: sheets of codes to scan."""
