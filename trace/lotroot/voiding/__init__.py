"""How is a whole posting taken back, and what stands in the way (RULES 16)?"""
