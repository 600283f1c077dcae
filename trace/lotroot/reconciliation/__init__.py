"""Does a closed run add up, and how is that known?"""
