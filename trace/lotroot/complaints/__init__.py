"""Who complained of which goods, what was said, and how was it answered?"""
