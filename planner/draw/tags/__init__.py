"""Tags to cut out, true to the millimetre."""
