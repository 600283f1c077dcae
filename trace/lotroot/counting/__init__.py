"""What stands here, scanned label by label, and what of that does the record say otherwise?"""
