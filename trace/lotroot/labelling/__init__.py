"""Which labels are due, which were printed and proved, and what stood on them?"""
