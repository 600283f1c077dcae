"""What goes from place to place, onto pallets and off again?"""
