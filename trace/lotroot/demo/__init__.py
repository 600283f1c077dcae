"""How does the invented plant come to life: people, firms and ten working days, posted through the door?"""
