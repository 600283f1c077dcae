"""What was checked, by whom, with what, and did it pass?"""
