"""Which dies are in a set now, since when, and do they fit the rod that goes in and the wire made of it?"""
