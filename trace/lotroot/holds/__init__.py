"""What is held, by what, and what does that stop?"""
