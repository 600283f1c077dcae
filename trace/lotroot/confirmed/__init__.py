"""Which figures did a named person at the plant confirm or override, and which value is in force?"""
