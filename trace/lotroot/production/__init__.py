"""What is worked: runs, what is loaded, marked and made in them, and what is left when they close."""
