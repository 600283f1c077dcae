"""What stands where: amounts of lots at places, on carriers, in runs and shipments."""
